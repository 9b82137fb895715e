"""From touched crosses of known places to what the driver really does: plain Python, no numpy.

``fit`` is the least-squares map of the touches and how sure it is, ``slips`` sets wrong touches
right, ``setting`` is a driver's setting as numbers, and ``verdict`` compares the two.
"""
