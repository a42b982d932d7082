"""Laying out: what to hang before the first knot, and in which order, one colour group a step.

These steps are not steps of the piece: they have no number there and are not counted.
"""

from collections.abc import Callable, Sequence
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.wording.counting import counted


class LayingStep(NamedTuple):
    """One step of laying out: the strings to put in place now, all of one colour.

    `strings` are their numbers, as the family numbers its strings; `places` are their positions from the left, or
    their slots, and empty for a string without a place of its own. `word` is the text in large type, `note` the text
    below it, and `line` both in one line, printed and spoken.
    """

    colour: str
    strings: tuple[int, ...]
    places: tuple[int, ...]
    word: str
    note: str
    line: str


class LayingOut(NamedTuple):
    """All steps of laying out a design; `verb` and `what` name it: `lay out`, `the strings`; a step is one `each`."""

    verb: str
    what: str
    steps: tuple[LayingStep, ...]
    each: str = "colour"

    @property
    def words(self) -> str:
        """`lay out the strings`."""
        return f"{self.verb} {self.what}"

    def places_after(self, count: int) -> frozenset[int]:
        """The places that are filled after the first `count` steps."""
        return frozenset(place for step in self.steps[:count] for place in step.places)


class Group(NamedTuple):
    """Neighbouring strings of one colour: the colour, and the first and last of their positions."""

    colour: str
    first: int
    last: int


def groups(strings: Sequence[str]) -> list[Group]:
    """The groups of neighbouring strings of one colour, left to right; positions count from 1."""
    found, first = [], 1
    for colour, alike in groupby(strings):
        last = first + len(list(alike)) - 1
        found.append(Group(colour, first, last))
        first = last + 1
    return found


def at_places(say: str, first: int, last: int) -> str:
    """`deep at 4`, `deep at 4 and 5`, `deep at 1 to 3`."""
    if first == last:
        return f"{say} at {first}"
    return f"{say} at {first} {'and' if last == first + 1 else 'to'} {last}"


HOW_TO_HANG = "fix the ends at the top with tape or a clip"


def hung_side_by_side(
    strings: Sequence[str], say_of: Callable[[int], str], *, started: bool, called: str = "string"
) -> LayingOut:
    """Strings that hang side by side, one colour group a step. `strings` are their colours, `called` is one of them.

    `say_of` gives the label of a string's colour. With `started`, a start has fixed them already, to be sorted only.
    """
    say = [say_of(string) for string in range(1, len(strings) + 1)]
    found: list[LayingStep] = []
    for group in groups(strings):
        numbers = tuple(range(group.first, group.last + 1))
        word = at_places(say[group.first - 1], group.first, group.last)
        where = f"to the right of {say[group.first - 2]}" if found else "at the left edge"
        note = f"{counted(len(numbers), called)} {where}"
        if not found and not started:
            note += f"; {HOW_TO_HANG}"
        elif found and group.last == len(strings):
            note += f"; that is all {group.last}"
        found.append(LayingStep(group.colour, numbers, numbers, word, note, f"{word}, {note}"))
    return LayingOut("sort" if started else "lay out", "the strings", tuple(found))


def printed(laying: LayingOut) -> list[str]:
    """The steps in lines; none of them begins with a number."""
    return [f"{laying.verb}: {step.line}" for step in laying.steps]
