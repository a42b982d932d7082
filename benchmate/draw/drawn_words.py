"""What a drawing shows, in words."""

from benchmate.craft.drawing import Layout
from benchmate.craft.wording.counting import counted


def drawn_words(layout: Layout) -> str:
    """The drawing in one line: about how wide and long, how many rows, how often repeated, and how much is drawn."""
    size = layout.size
    if size is None:
        size = f"about {layout.wide:.0f} mm wide and {layout.of_rows * layout.long / layout.rows:.0f} mm long"
    often = f" ({layout.once} worked {layout.repeats} times)" if layout.repeats > 1 else ""
    words = f"{size}, {counted(layout.of_rows, layout.unit)}{often}"
    return words if layout.rows == layout.of_rows else f"{words}; the first {layout.rows} are drawn"
