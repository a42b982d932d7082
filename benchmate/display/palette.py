"""The colours of everything but the thread, dark and light."""

from functools import lru_cache
from typing import NamedTuple

from benchmate.craft.colours.terminal_colours import ColourDepth, nearest


class Palette(NamedTuple):
    """Inks and grounds as `#rrggbb`. Each of the grounds marks one zone: now, the strings, and next.

    `field` fills the large field where no string gives it a colour. `string_grounds` are possible grounds for the
    strings; the one with the best contrast to all their colours is used.
    """

    ground: str
    panel: str
    head: str
    ink: str
    quiet: str
    alarm: str
    alarm_ink: str
    field: str
    string_grounds: tuple[str, ...]


DARK = Palette(
    "#101315",
    "#23282d",
    "#37404a",
    "#f4f4f0",
    "#b9c0c6",
    "#f6cd3c",
    "#000000",
    "#2f5d62",
    ("#101315", "#4b5157", "#7b8288", "#e9e5da"),
)
LIGHT = Palette(
    "#f7f5ef",
    "#e6e1d5",
    "#cfc8b8",
    "#15181a",
    "#4a4f54",
    "#f9d24a",
    "#000000",
    "#b8d4d0",
    ("#f7f5ef", "#e0dcd1", "#cac6bb"),
)


@lru_cache(maxsize=16)
def on_screen(palette: Palette, depth: ColourDepth) -> Palette:
    """The palette in the colours that a terminal really shows, so that contrasts are reckoned with those."""
    shown = {name: nearest(colour, depth) for name, colour in palette._asdict().items() if isinstance(colour, str)}
    return palette._replace(**shown, string_grounds=tuple(nearest(ground, depth) for ground in palette.string_grounds))
