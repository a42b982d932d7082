"""Lengths as the commands say them: in which units, and which are far from usual."""

import sys
from collections.abc import Iterable


def units() -> str:
    """The units of lengths for people. Raises BadFile for settings that cannot be read."""
    from benchmate.settings import read_settings
    from benchmate.store import places

    return read_settings(places.settings_file()).units


def unusual(lengths: Iterable[tuple[str, float]], shown_in: str) -> list[str]:
    """A question about each length that is far from usual; each has the name of its kind in `plausible`."""
    from benchmate.craft.thread import plausible

    found = (plausible.question(what, mm, shown_in) for what, mm in lengths)
    return [question for question in found if question is not None]


def say_unusual(lengths: Iterable[tuple[str, float]], shown_in: str) -> None:
    """Says on standard error which lengths of the command line are far from usual; they are taken anyway."""
    for question in unusual(lengths, shown_in):
        print(question, file=sys.stderr)
