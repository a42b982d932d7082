"""What the step screen shows at one moment, as plain values that say nothing about its layout."""

from typing import NamedTuple

from benchmate.craft.shown_step import ColouredDrawing, ComingStep, Side
from benchmate.craft.wording.trouble_words import NOT_KNOWN

NEUTRAL_FIELD = ""
"""The colour of the large field where no string gives it one: the palette's own takes its place."""
COMING = 3
"""How many steps ahead are shown."""


class String(NamedTuple):
    """A string as it hangs: its colour, and the short tag that stands for the colour.

    `hangs` is false while it is still to be laid out. `along` are all colours of a variegated thread.
    """

    colour: str
    tag: str
    hangs: bool = True
    along: tuple[str, ...] = ()


UNKNOWN_STRING = String("", NOT_KNOWN)
"""A string of which nobody knows which one it is."""


class Laying(NamedTuple):
    """The first and the last position of the strings being laid out."""

    first: int
    last: int


class Run(NamedTuple):
    """The string in hand, which makes knot `at` of `of`, named in `words`; and the string to pick up next.

    `following` says what to do for that next string, `colour` is its colour, `hangs` is its position now. Where no
    string is picked up next, `hangs` is 0 and the two are empty.
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
    shown, from 0, and `n` its place in working order, from 1 (None and 0 when there is none); `numbered` says that
    place in words, `band knot 37, step 44`. `out` is how many knots to undo, this one first. `this_press` lists the
    steps one press counts, in their shortest form, when it counts more than a knot, with an empty text for a step that
    the one before names too. `run` is the string in hand when the piece is worked by segments. `time_left` is empty
    until the maker's pace is known. `beat` is the timer of pace mode. `before` says how to get the leading string in
    hand, `before_in_brief` too, in fewer words, and `know` what to know before the step;
    `changed` marks one that is made otherwise than charted on purpose; `drawn` is the drawing.
    `quiet` is a line that is less urgent than a notice; with `rest`, it offers a rest. `laying` are the strings being
    laid out; with `compare`, the maker is to compare those that hang with what is shown. `told` is the instruction for
    the whole press in words, shown alone.
    """

    title: str
    done: int
    of: int
    mode: str
    number: int | None
    n: int
    numbered: str
    word: str
    note: str
    field: str
    left: Side | None
    right: Side | None
    strings: tuple[String, ...]
    coming: tuple[ComingStep, ...]
    where: str
    share: int
    time_left: str
    out: int
    this_press: tuple[str, ...]
    run: Run | None
    notice: str
    rest: bool = False
    quiet: str = ""
    beat: Beat | None = None
    before: str = ""
    before_in_brief: str = ""
    know: str = ""
    changed: bool = False
    drawn: ColouredDrawing | None = None
    laying: Laying | None = None
    compare: bool = False
    told: str = ""
