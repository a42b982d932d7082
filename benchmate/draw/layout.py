"""Laying out the drawing of a design's finished band."""

from benchmate.craft.design import Design
from benchmate.craft.drawing import Layout
from benchmate.craft.work import Work


def lay_out(design: Design, repeats: int | None = None, made: Work | None = None) -> Layout:
    """The drawing of a design's band with `repeats` repeats (the design's own number when None).

    The design must allow that many `repeats`. `made` are the steps as they were really made, where they were not made
    as charted. Raises CannotDraw when there is nothing to draw.
    """
    return design.family.drawing(design, design.body, design.repeats if repeats is None else repeats, made)
