"""Strokes as files hold them: a drawing, recorded points, a picture of a trace; read, found and
measured.
"""
