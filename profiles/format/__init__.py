"""The profile document: its types, both directions, its older formats, and what changed between
two.
"""
