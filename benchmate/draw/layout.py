"""Where everything in a drawing of a design's finished band lies."""

from benchmate.craft.design import Design
from benchmate.craft.drawing import Layout


def lay_out(design: Design, repeats: int | None = None) -> Layout:
    """The drawing of a design's band worked `repeats` times (as often as the design says when None).

    Raises CannotDraw where there is nothing to draw. `repeats` must be one that the design can be worked.
    """
    return design.family.drawing(design, design.body, design.repeats if repeats is None else repeats)
