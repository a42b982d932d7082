"""What is said of a wrong knot: where it is, how it was made, and what to look at next."""

from collections.abc import Iterable, Sequence

from benchmate.craft.design import Design
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.craft.wording.prompt_parts import Detail, position
from benchmate.craft.work import Work

NO_KNOT, LEFT_OUT, CANNOT_TELL = "no knot", "left out", "can't tell"


def across(at: int, of: int) -> str:
    """Where a knot is in its row of so many, from the nearer edge: `third from the left`; `at` counts from 1."""
    return position(at, of, Detail.FULL) if of > 1 else "the only knot"


def place_of_knot(work: Work, step: int, called: str) -> str:
    """Where a knot is on the band, with what it is `called`: `row 14, knot 83, third from the left`.

    Knots that are left out are not counted.
    """
    row = work.row_of(step)
    there = [other for other in range(*work.span(row)) if other == step or work.how_made(other) is not None]
    return ", ".join(filter(None, [f"row {row}", called, across(there.index(step) + 1, len(there))]))


def made_instead(ways: Sequence[Made], charted: Made) -> str:
    """How a knot can have been made: `backward or left out instead of forward`."""
    made = either(map(made_words, ways))
    return f"{made}, left out in the chart" if charted is None else f"{made} instead of {charted.words}"


def shows_which(design: Design, answers: Iterable[str | None]) -> str:
    """The colours that a knot can show, as a question: `deep, foam or no knot?`."""
    return f"{either(NO_KNOT if colour is None else design.say(colour) for colour in answers)}?"


def either(items: Iterable[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    *before, last = [*items] or [""]
    return f"{', '.join(before)} or {last}" if before else last


def made_words(made: Made) -> str:
    """How a knot was made: `forward-backward`, `left out`."""
    return LEFT_OUT if made is None else made.words
