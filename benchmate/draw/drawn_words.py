"""What a drawing shows, in words, and text from files made safe for where it goes."""

from benchmate.craft.counting import counted
from benchmate.craft.drawing import Layout
from benchmate.files.words import shown


def drawn_words(layout: Layout) -> str:
    """The drawing in one line: about how wide and long, how many rows, how often repeated, and how much is drawn."""
    size = layout.size
    if size is None:
        size = f"about {layout.wide:.0f} mm wide and {layout.of_rows * layout.long / layout.rows:.0f} mm long"
    often = f" ({layout.once} worked {layout.repeats} times)" if layout.repeats > 1 else ""
    words = f"{size}, {counted(layout.of_rows, layout.unit)}{often}"
    return words if layout.rows == layout.of_rows else f"{words}; the first {layout.rows} are drawn"


def in_xml(text: str) -> str:
    """Text as character data or as an attribute's value; what XML 1.0 has no character for becomes `?`."""
    kept = "".join("?" if ord(sign) & 0xFFFE == 0xFFFE else sign for sign in shown(text))
    for sign, name in (("&", "amp"), ("<", "lt"), (">", "gt"), ('"', "quot"), ("'", "apos")):
        kept = kept.replace(sign, f"&{name};")
    return kept
