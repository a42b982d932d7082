"""What a design is, whatever its family: plain values, checked by whoever reads them from a file."""

from collections.abc import Mapping
from typing import NamedTuple

from benchmate.craft.knots import Knot

MOST_STRINGS = 500
MOST_STEPS = 200_000


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


class WrittenStep(NamedTuple):
    """One instruction in words, done `times` times, with a hint or None."""

    do: str
    hint: str | None
    times: int


class Written(NamedTuple):
    """A piece told in written steps; `strings` are colour names and may be empty."""

    strings: tuple[str, ...]
    steps: tuple[WrittenStep, ...]


Body = Diagonal | Written


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
        """How the colour of a string is shown and spoken; strings count from 1, as they hang at the start."""
        return self.said(self.strings[string - 1])


def pairs_that_fit(strings: int, start: int) -> int:
    """How many pairs of neighbours fit in a row of `strings` strings whose first pair begins at position `start`."""
    return max(0, (strings - start + 1) // 2)


def usual_start(row: int) -> int:
    """The position at which row `row` (from 1, within one repeat) begins when it says nothing else."""
    return 1 if row % 2 else 2


def steps_in(design: Design, repeats: int | None = None) -> int:
    """How many steps the band of `design` takes in all, without its start and finish."""
    body = design.body
    if isinstance(body, Diagonal):
        once = sum(len(row.knots) - row.knots.count(None) for row in body.rows)
    else:
        once = sum(step.times for step in body.steps)
    return once * (design.repeats if repeats is None else repeats)


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
    return None


def order_after_one_repeat(body: Diagonal) -> tuple[str, ...]:
    """The colour names of the strings, left to right, when the rows have been worked once."""
    hanging = list(body.strings)
    for row in body.rows:
        for left, knot in zip(range(row.start - 1, len(hanging), 2), row.knots, strict=False):
            if knot is not None and knot.swaps:
                hanging[left], hanging[left + 1] = hanging[left + 1], hanging[left]
    return tuple(hanging)
