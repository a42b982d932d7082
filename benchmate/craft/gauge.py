"""How thick six-strand floss is, and how large a knot of it comes out, in millimetres.

All derived, none measured: from the geometry of half hitches in thread of this thickness, and from the bound that
thread packed as densely as can be fills 0.907 (π / 2√3) of the space it lies in. They are weak until a swatch corrects
them, and what is worked out from them is as true as that.
"""

FLOSS = 0.72
"""Thickness of a string. Derived."""
KNOT_WIDE = 2.45
"""Width of a knot. Derived."""
DIAGONAL_ROW = 1.3
"""What a row adds to the length of a diagonal band. Derived."""
ALPHA_ROW = 1.9
"""What a row adds to the length of an alpha band, 1.6 to 2.2. Derived."""
