"""A set text as a band: of a length, with a border, in the maker's threads."""

from typing import NamedTuple

from benchmate.craft.colours.colour_difference import difference
from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.families.alpha.writing import alpha_text
from benchmate.letters.glyphs import GROUND, INK
from benchmate.letters.setting import CannotSet, Setting, title_of

BORDER = "+"
"""The chart's character for a knot of the border."""


class Thread(NamedTuple):
    """A thread: its name in the design, and its colour as `#rrggbb`."""

    name: str
    value: str


GROUND_THREAD, INK_THREAD = Thread("ground", "#efe8da"), Thread("ink", "#27364a")
"""Undyed linen and a very dark blue: contrast 10 to 1."""
BORDER_THREADS = (
    *(Thread("madder", "#a63a2b"), Thread("ochre", "#c08a3e"), Thread("moss", "#5d7a3a")),
    *(Thread("teal", "#2f7f86"), Thread("plum", "#7a4468")),
)
"""What a border is chosen from."""


class Threads(NamedTuple):
    """The threads of the letters, of the ground and of the border; None for a band without one."""

    ink: Thread = INK_THREAD
    ground: Thread = GROUND_THREAD
    border: Thread | None = None


USUAL = Threads()
"""The threads of a maker who has not chosen any."""


def border_beside(ink: Thread, ground: Thread) -> Thread:
    """The thread for a border that differs most from both other threads (CIEDE2000), under a name that is not taken."""
    found = max(
        BORDER_THREADS,
        key=lambda thread: min(difference(thread.value, other.value) for other in (ink, ground)),
    )
    name = found.name
    while name in (ink.name, ground.name):
        name += "-border"
    return found._replace(name=name)


def with_length(setting: Setting, length_mm: int, row_mm: float, *, border: bool) -> Setting:
    """The text in the middle of a band of this length: the nearest number of whole rows, a half up.

    Rows of ground are added at both ends; of an odd number the end gets one more. With a `border`, its two rows are
    part of the length. Raises CannotSet when the text is longer.
    """
    least = setting.long + 2 * border
    spare = int(length_mm / row_mm + 0.5) - least
    if spare < 0:
        raise CannotSet(
            f"the text takes {least} rows, {least * row_mm:.0f} mm, more than the {length_mm} mm of --length"
        )
    if setting.wide * (setting.long + spare) > MOST_STEPS:
        raise CannotSet(f"a band of {length_mm} mm would take more than {MOST_STEPS} knots; the limit is {MOST_STEPS}")
    empty = (GROUND * setting.wide,)
    return setting._replace(chart=empty * (spare // 2) + setting.chart + empty * (spare - spare // 2))


def with_border(setting: Setting) -> Setting:
    """The band in a frame one knot wide. Raises CannotSet when that makes it too large."""
    wide, long = setting.wide + 2, setting.long + 2
    if wide > MOST_STRINGS or wide * long > MOST_STEPS:
        raise CannotSet(f"with a border, the band would be {wide} knots wide and {long} rows long; that is too large")
    end = (BORDER * wide,)
    return setting._replace(chart=(*end, *(f"{BORDER}{row}{BORDER}" for row in setting.chart), *end))


def design_text(
    setting: Setting, threads: Threads = USUAL, *, start: str | None = None, finish: str | None = None
) -> str:
    """The text of an alpha design of this band; the base strings have the colour of the ground.

    `start` and `finish` are names of designs in written steps.
    """
    used = {GROUND: threads.ground, INK: threads.ink}
    if threads.border is not None:
        used[BORDER] = threads.border
    colours = {thread.name: thread.value for thread in used.values()}
    key = {sign: thread.name for sign, thread in used.items()}
    ground = threads.ground.name
    notes = setting.words
    return alpha_text(
        title_of(setting.text), colours, ground, key, setting.chart, start=start, finish=finish, notes=notes
    )
