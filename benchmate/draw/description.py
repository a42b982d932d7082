"""A drawing in words."""

from benchmate.craft.drawing import Layout
from benchmate.craft.wording.counting import counted


def description(layout: Layout) -> str:
    """One line: the width and length, the number of rows and repeats, and how much of them is drawn."""
    size = layout.size
    if size is None:
        size = f"about {layout.wide:.0f} mm wide and {layout.of_rows * layout.long / layout.rows:.0f} mm long"
    repeats = f" ({layout.repeats} repeats of {layout.once})" if layout.repeats > 1 else ""
    words = f"{size}, {counted(layout.of_rows, layout.unit)}{repeats}"
    return words if layout.rows == layout.of_rows else f"{words}; only the first {layout.rows} are drawn"
