"""Laying out the drawing of a design's finished band."""

from benchmate.craft.design import Design
from benchmate.craft.drawing import Layout


def lay_out(design: Design, repeats: int | None = None) -> Layout:
    """The drawing of a design's band with `repeats` repeats (the design's own number when None).

    The design must allow that many `repeats`. Raises CannotDraw when there is nothing to draw.
    """
    return design.family.drawing(design, design.body, design.repeats if repeats is None else repeats)
