"""How large a knot of six-strand floss comes out, in millimetres.

Derived from the thread's thickness, and weak until a swatch corrects it: what is worked out from it is as true as that.
"""

FLOSS = 0.72
"""Thickness of a string."""
KNOT_WIDE = 2.45
"""Width of a knot."""
DIAGONAL_ROW = 1.3
"""What a row adds to the length of a diagonal band."""
ALPHA_ROW = 1.9
"""What a row adds to the length of an alpha band."""
