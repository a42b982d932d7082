"""The bench at one moment, as plain values: everything its zones show, and nothing about how it looks."""

from typing import NamedTuple

from benchmate.craft.shown_step import ColouredDrawing, ComingStep, Side

NEUTRAL = "#2f5d62"
"""The field behind what has no thread's colour of its own."""
COMING = 3
"""How many steps ahead are shown."""


class String(NamedTuple):
    """A string as it hangs: its colour and the short tag that tells it apart without colour."""

    colour: str
    tag: str


class Run(NamedTuple):
    """The string in hand: the knot is the `at`-th of `of` it makes; in words; the next string, its colour and words.

    `hangs` is the position at which the next string hangs now. Where no string is picked up next it is 0, and `colour`
    and `following` are empty.
    """

    at: int
    of: int
    words: str
    colour: str
    following: str
    hangs: int


class Beat(NamedTuple):
    """Pace mode: in how many seconds the step counts as done, of how many; what the keys do meanwhile."""

    left: float
    seconds: float
    keys: tuple[str, str, str]


class View(NamedTuple):
    """The bench at one moment.

    `mode` is `tie`, `undo`, `done` or `look` (looking on while another window ties); `number` the step it is about,
    from 0, and `n` its place in working order, from 1 (None and 0 when there is none). `out` is how many knots must
    come out, this one first. `this_press` are the steps a press counts, in their shortest form, when it means more than
    a knot. `run` is what is in hand when the piece is worked by segments, and `saving` what that saves. `beat` is there
    in pace mode only; `before` is what is done first to have the leading string in hand; `drawn` what is drawn.
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
