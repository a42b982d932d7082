"""The thickness of six-strand floss and the size of its knots, in millimetres.

All numbers are derived, not measured: from the geometry of half hitches in thread of this thickness, and from the bound
that thread fills at most 0.907 (π / 2√3) of the space it lies in. They are estimates until a swatch corrects them, and
so is everything computed from them.
"""

FLOSS = 0.72
"""Thickness of a string. Derived."""
KNOT_WIDE = 2.45
"""Width of a knot. Derived."""
DIAGONAL_ROW = 1.3
"""What a row adds to the length of a diagonal band. Derived."""
ALPHA_ROW = 1.9
"""What a row adds to the length of an alpha band, 1.6 to 2.2. Derived."""
