"""What a design is, whatever its family: plain values, checked by whoever reads them from a file."""

from bisect import bisect_left
from collections.abc import Mapping
from typing import NamedTuple

from benchmate.craft.knots import Knot

MOST_STRINGS = 500
MOST_STEPS = 200_000
MOST_SLOTS = 500
"""More slots than any disk has; as many as there may be strings."""


class Colour(NamedTuple):
    """A colour of the maker's own: its name in the design, its value as `#rrggbb`, and how it is said."""

    name: str
    value: str
    say: str


class Row(NamedTuple):
    """A row of a diagonal band: the position (from 1) of its first pair, and a knot or None for each pair that fits."""

    start: int
    knots: tuple[Knot | None, ...]


class Diagonal(NamedTuple):
    """A diagonal band: colour names of the strings, left to right as they hang at the start, and one repeat's rows."""

    strings: tuple[str, ...]
    rows: tuple[Row, ...]

    def colour_of(self, string: int) -> str:
        """The colour name of a string, which keeps the number of the position it started from."""
        return self.strings[string - 1]


class Alpha(NamedTuple):
    """A band of pictures or letters: base strings of one colour, one for every column, under leading strings.

    `rows` are one repeat's colours, top row first, each from the left; `first` is the side from which row 1 is worked.
    `leading` are the colours of the leading strings, in the order in which they are first needed.
    """

    base: str
    rows: tuple[tuple[str, ...], ...]
    first: str
    leading: tuple[str, ...]

    @property
    def columns(self) -> int:
        """How many knots a row has."""
        return len(self.rows[0])

    @property
    def strings(self) -> tuple[str, ...]:
        """The base strings' colour, as often as there are base strings."""
        return (self.base,) * self.columns

    def colour_of(self, string: int) -> str:
        """The colour name of a base string, by its column, or of a leading string, which are numbered after those."""
        return self.base if string <= self.columns else self.leading[string - self.columns - 1]


def alpha(base: str, rows: tuple[tuple[str, ...], ...], first: str = "left") -> Alpha:
    """An alpha band from its chart, which has at least one row and one column."""
    used: dict[str, None] = {}
    for number, row in enumerate(rows):
        to_the_right = (first == "left") == (number % 2 == 0)
        used |= dict.fromkeys(row if to_the_right else reversed(row))
    return Alpha(base, rows, first, tuple(used))


class Braid(NamedTuple):
    """A braid on a disk: how many slots it has, the strand in each filled one, and one repeat's moves between slots.

    Slots count clockwise from 1. `strands` are the filled slots in rising order and the colour names of what is in
    them; a strand is numbered by the slot it starts from. Every further repeat works the moves `shift` slots further
    on, and slot 0 is the last one.
    """

    slots: int
    strands: tuple[tuple[int, str], ...]
    moves: tuple[tuple[int, int], ...]
    shift: int = 0

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strands, by their slots."""
        return tuple(name for _, name in self.strands)

    def colour_of(self, string: int) -> str:
        """The colour name of the strand that starts from a slot."""
        return self.strands[bisect_left(self.strands, (string,))][1]

    def slot(self, slot: int, repeat: int) -> int:
        """Where a slot of the written moves lies in a repeat, which counts from 0."""
        return (slot - 1 + repeat * self.shift) % self.slots + 1


class Drawing(NamedTuple):
    """Which drawing goes with an instruction: a knot, and a moment in the tying of it.

    `phase` is one of `PHASES` of half hitch `half`, 1 or 2; or, with `half` 0, `hold` before the first or `done` after
    the second.
    """

    knot: Knot
    half: int
    phase: str


PHASES = ("over", "under", "pull")
"""A half hitch: the knotting string over the passive one, under it and out through the loop, pulled up."""


class WrittenStep(NamedTuple):
    """One instruction in words, done `times` times, with a hint or None, and the drawing that goes with it or None."""

    do: str
    hint: str | None
    times: int
    draw: Drawing | None = None


class Written(NamedTuple):
    """A piece told in written steps; `strings` are colour names and may be empty."""

    strings: tuple[str, ...]
    steps: tuple[WrittenStep, ...]

    def colour_of(self, string: int) -> str:
        """The colour name of a string, by its place among `strings`."""
        return self.strings[string - 1]


Body = Diagonal | Alpha | Braid | Written


class Design(NamedTuple):
    """A whole design. `start` and `finish` name the written designs worked before and after it."""

    title: str
    family: str
    colours: Mapping[str, Colour]
    body: Body
    thread: str = "floss"
    repeats: int = 1
    start: str | None = None
    finish: str | None = None
    notes: str | None = None
    author: str | None = None
    licence: str | None = None

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""
        return self.body.strings

    def said(self, name: str) -> str:
        """How the colour `name` is shown and spoken."""
        return self.colours[name].say

    def said_of(self, string: int) -> str:
        """How the colour of a string is shown and spoken; what numbers strings have is their family's affair."""
        return self.said(self.body.colour_of(string))

    def value_of(self, string: int) -> str:
        """The colour of a string as `#rrggbb`."""
        return self.colours[self.body.colour_of(string)].value


def pairs_that_fit(strings: int, start: int) -> int:
    """How many pairs of neighbours fit in a row of `strings` strings whose first pair begins at position `start`."""
    return max(0, (strings - start + 1) // 2)


def usual_start(row: int) -> int:
    """The position at which row `row` (from 1, within one repeat) begins when it says nothing else."""
    return 1 if row % 2 else 2


def steps_in(design: Design, repeats: int | None = None) -> int:
    """How many steps the band of `design` takes in all, without its start and finish."""
    return steps_once(design.body) * (design.repeats if repeats is None else repeats)


def steps_once(body: Body) -> int:
    """How many steps one repeat takes."""
    if isinstance(body, Diagonal):
        return sum(len(row.knots) - row.knots.count(None) for row in body.rows)
    if isinstance(body, Alpha):
        return len(body.rows) * body.columns
    if isinstance(body, Braid):
        return len(body.moves)
    return sum(step.times for step in body.steps)


def repeats_fault(design: Design, repeats: int) -> str | None:
    """Why the design cannot be worked `repeats` times, or None when it can."""
    body = design.body
    if repeats > 1 and isinstance(body, Diagonal) and body.rows[0].start == body.rows[-1].start:
        return (
            f"row 1 and the last row both start at position {body.rows[0].start}, so the rows cannot be repeated: "
            "they would need to start at different positions"
        )
    most = MOST_STEPS // max(1, steps_in(design, 1))
    if repeats > most:
        return (
            f"{repeats} repeats make {steps_in(design, repeats)} steps, more than {MOST_STEPS}: "
            f"at most {most} {'repeat fits' if most == 1 else 'repeats fit'}"
        )
    if isinstance(body, Braid):
        wrong = wrong_move(body, repeats)
        return None if wrong is None else wrong.message
    return None


class WrongMove(NamedTuple):
    """A move that cannot be made: which of a repeat's, from 0, and why, with the repeat it is in."""

    move: int
    message: str


def wrong_move(body: Braid, repeats: int) -> WrongMove | None:
    """The first move that goes from an empty slot or to a filled one when a braid is worked so often; None if none."""
    filled = bytearray(body.slots + 1)
    for slot, _ in body.strands:
        filled[slot] = 1
    for repeat in range(repeats):
        for at, written in enumerate(body.moves):
            here, there = (body.slot(slot, repeat) for slot in written)
            if not filled[here] or filled[there]:
                fault = f"slot {there} is filled" if filled[here] else f"slot {here} is empty"
                where = f" in repeat {repeat + 1}, where it is {here} > {there}" if repeat else ""
                return WrongMove(at, f"the move {written[0]} > {written[1]} cannot be made{where}: {fault} then")
            filled[here], filled[there] = 0, 1
    return None


def order_after_one_repeat(body: Diagonal) -> tuple[str, ...]:
    """The colour names of the strings, left to right, when the rows have been worked once."""
    hanging = list(body.strings)
    for row in body.rows:
        for left, knot in zip(range(row.start - 1, len(hanging), 2), row.knots, strict=False):
            if knot is not None and knot.swaps:
                hanging[left], hanging[left + 1] = hanging[left + 1], hanging[left]
    return tuple(hanging)
