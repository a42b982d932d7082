"""The lines of plain mode, for the commands that print them."""

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchmate.plain.lines import Lines


def plain_lines(width: int | None) -> "Lines":
    """The lines of plain mode in a width, by default that of the settings."""
    from benchmate.plain.lines import Lines
    from benchmate.store import places

    lines = Lines(sys.stdout, sys.stderr, width or 0)
    # Where there are no settings, the lines begin without what reads them.
    if width is None and os.path.lexists(places.settings_file()):
        from benchmate.plain.usual_settings import settings_or_usual

        lines.width = settings_or_usual(lines).width
    return lines
