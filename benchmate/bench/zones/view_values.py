"""What the step screen shows at one moment, as plain values that say nothing about its layout."""

from typing import NamedTuple

from benchmate.craft.shown_step import ColouredDrawing, ComingStep, Side

NEUTRAL_FIELD = "#2f5d62"
"""The colour of the large field where no string gives it one."""
COMING = 3
"""How many steps ahead are shown."""


class String(NamedTuple):
    """A string as it hangs: its colour, and the short tag that stands for the colour."""

    colour: str
    tag: str


class Run(NamedTuple):
    """The string in hand, which makes knot `at` of `of`, named in `words`; and the string to pick up next.

    `colour` and `following` describe that next string, `hangs` is its position now. Where no string is picked up next,
    `hangs` is 0 and the two are empty.
    """

    at: int
    of: int
    words: str
    colour: str
    following: str
    hangs: int


class Beat(NamedTuple):
    """The timer of pace mode: seconds left, seconds in all, and what the keys do while it runs."""

    left: float
    seconds: float
    keys: tuple[str, str, str]


class View(NamedTuple):
    """The step screen at one moment.

    `mode` is `tie`, `undo`, `done` or `look` (read-only, while another window works on the piece). `number` is the step
    shown, from 0, and `n` its place in working order, from 1 (None and 0 when there is none). `out` is how many knots
    to undo, this one first. `this_press` lists the steps one press counts, in their shortest form, when it counts more
    than a knot. `run` is the string in hand when the piece is worked by segments, and `saving` the pick-ups that saves.
    `beat` is the timer of pace mode. `before` says how to get the leading string in hand; `drawn` is the drawing.
    """

    title: str
    done: int
    of: int
    mode: str
    number: int | None
    n: int
    word: str
    note: str
    field: str
    left: Side | None
    right: Side | None
    strings: tuple[String, ...]
    coming: tuple[ComingStep, ...]
    where: str
    share: int
    seconds_left: float | None
    out: int
    this_press: tuple[str, ...]
    run: Run | None
    saving: str
    notice: str
    rest: bool
    beat: Beat | None = None
    before: str = ""
    drawn: ColouredDrawing | None = None
