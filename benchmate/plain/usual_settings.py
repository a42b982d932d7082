"""The settings in plain mode, where faulty ones must not keep anybody from a piece."""

from benchmate.files.tree import BadFile
from benchmate.plain.lines import Lines
from benchmate.settings import DEFAULTS, Settings, read_settings
from benchmate.store import places


def settings_or_usual(lines: Lines) -> Settings:
    """The settings, or where they cannot be read the usual ones, after a notice that is printed only once."""
    try:
        return read_settings(places.settings_file())
    except BadFile as bad:
        lines.notice_once(f"{bad}\nThe settings are not used until this is corrected.")
        return DEFAULTS
