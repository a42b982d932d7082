"""The colours of everything but the thread, dark and light."""

from typing import NamedTuple


class Palette(NamedTuple):
    """Inks and grounds as `#rrggbb`. Each of the three grounds marks one zone: now, the strings, and next."""

    ground: str
    panel: str
    head: str
    ink: str
    quiet: str
    alarm: str
    alarm_ink: str


DARK = Palette("#101315", "#23282d", "#37404a", "#f4f4f0", "#b9c0c6", "#f2c230", "#000000")
LIGHT = Palette("#f7f5ef", "#e6e1d5", "#cfc8b8", "#15181a", "#4a4f54", "#7a2200", "#ffffff")

STRING_GROUNDS = {
    DARK: ("#101315", "#4b5157", "#7b8288", "#e9e5da"),
    LIGHT: ("#f7f5ef", "#c9c5bb", "#8b8f92", "#15181a"),
}
"""Possible grounds for the strings; the one with the best contrast to all their colours is used."""
