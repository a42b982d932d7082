"""What is said of a wrong knot: where it is, how it was made, and what to look at next."""

from collections.abc import Iterable, Sequence

from benchmate.craft.design import Design
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.craft.trouble.wrong_step import DoneInstead, OtherColour, OtherMove
from benchmate.craft.wording.prompt_parts import Detail, position
from benchmate.craft.work import Work

NO_KNOT, LEFT_OUT, CANNOT_TELL = "no knot", "left out", "can't tell"
WRONG_KNOT = "the wrong knot"
"""The name of a knot of which nobody knows how it was made."""
NOT_KNOWN = "?"
"""What stands for a string, or a colour, that is not known."""


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


def place_of_step(design: Design, work: Work, step: int, called: str) -> str:
    """Where a step of a picture or a braid is: `row 4, knot 18, third from the left`; `repeat 3, move 11`."""
    row, family = work.row_of(step), design.family
    at, (first, end) = family.words.place_across(work.step(step)), work.span(row)
    return ", ".join(filter(None, [f"{family.row_word} {row}", called, across(at, end - first) if at else ""]))


def done_instead(design: Design, work: Work, step: int, ways: Sequence[DoneInstead]) -> str:
    """How such a step can have been done: `rust instead of foam`, `17 to 30 or left out instead of 17 to 31`."""
    charted = f"{work.swapped_at(step)} to {work.swapped_with(step)}"
    says: list[str] = []
    for way in ways:
        if isinstance(way, OtherColour):
            charted = design.say_of(work.knotting(step))
            says.append(design.say(way.colour))
        elif isinstance(way, OtherMove):
            says.append(f"{way.source} to {way.target}")
        else:
            says.append(made_words(way))
    return f"{either(says)} instead of {charted}"


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
