"""Laying out: what to cut and to hang before the first knot, and in which order, one length or colour group a step.

These steps are not steps of the piece: they have no number there and are not counted.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.spoken_length import MOST, is_short_enough


class LayingStep(NamedTuple):
    """One step of laying out: the strings to put in place now, all of one colour, or the length to cut.

    `strings` are their numbers, as the family numbers its strings; `places` are their positions from the left, or
    their slots, and empty for a string without a place of its own. `word` is the text in large type, `note` the text
    below it, and `line` both in one line, printed and spoken. Where it is spoken otherwise, `spoken` has the wordings
    of each level, the fullest first. Of a length to cut, `length` is its place in the cut list, and `bare` the length
    without its colour, for a screen on which both have no room in large type; `thread` is the number of the thread in
    the box that it is cut from, if any.
    """

    colour: str
    strings: tuple[int, ...]
    places: tuple[int, ...]
    word: str
    note: str
    line: str
    spoken: Mapping[Level, tuple[str, ...]] = {}
    length: int | None = None
    bare: str = ""
    thread: int | None = None


class LayingOut(NamedTuple):
    """All steps of laying out a design, or of cutting its lengths.

    `verb` and `what` name it: `lay out`, `the strings`; a step is one `each`.
    """

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


class LayingPlace:
    """Where a maker is in laying out a piece: in the lengths to cut, and then in what hangs. None of it is counted."""

    def __init__(self, cutting: LayingOut | None, hanging: LayingOut, cut: Collection[int] = ()) -> None:
        """It begins at the first length to cut. Those in `cut`, places in the cut list, are cut already."""
        self.cutting = cutting
        self.hanging = hanging
        self._cut = {at for at, step in enumerate(self.lengths) if step.length in cut}
        self._at = self._next_from(0)

    def renew(self, cutting: LayingOut | None, hanging: LayingOut, cut: Collection[int] = ()) -> None:
        """Takes the steps as they are now; where others are to be cut or hung than before, it begins again."""
        if _essence(cutting, hanging) != _essence(self.cutting, self.hanging):
            self.cutting, self.hanging = cutting, hanging
            self._cut = {at for at, step in enumerate(self.lengths) if step.length in cut}
            self._at = self._next_from(0)
        self.cutting, self.hanging = cutting, hanging

    def _next_from(self, at: int) -> int:
        """The first length from there that is not cut; where all are, the first step of what hangs."""
        return next((place for place in range(at, len(self.lengths)) if place not in self._cut), len(self.lengths))

    @property
    def lengths(self) -> tuple[LayingStep, ...]:
        """The lengths to cut, maybe none."""
        return () if self.cutting is None else self.cutting.steps

    @property
    def in_lengths(self) -> bool:
        """True while a length is to be cut."""
        return self._at < len(self.lengths)

    @property
    def all_cut(self) -> bool:
        """True when there are lengths, and all are ticked off."""
        return bool(self.lengths) and len(self._cut) == len(self.lengths)

    @property
    def cut(self) -> tuple[LayingStep, ...]:
        """The lengths ticked off as cut."""
        return tuple(step for at, step in enumerate(self.lengths) if at in self._cut)

    @property
    def part(self) -> LayingOut:
        """What is being done now: the cutting or the hanging."""
        return self.cutting if self.cutting is not None and self.in_lengths else self.hanging

    @property
    def number(self) -> int:
        """The number of its step to do now, from 1."""
        return (self._at if self.in_lengths else self._at - len(self.lengths)) + 1

    @property
    def step(self) -> LayingStep:
        """The step to do now."""
        return self.part.steps[self.number - 1]

    def done(self) -> bool:
        """Goes on to the next step, as this one is done. False after the last one: it may then be done once more."""
        if self.in_lengths:
            self._cut.add(self._at)
        self._at += 1
        if self._at < len(self.lengths):
            self._at = self._next_from(self._at)
        if self._at < len(self.lengths) + len(self.hanging.steps):
            return True
        self._at = len(self.lengths)
        return False

    def back(self) -> bool:
        """Goes back to the step before, which is then not done. False at the first one."""
        if not self._at:
            return False
        self._at -= 1
        self._cut.discard(self._at)
        return True

    @property
    def state(self) -> tuple[int, frozenset[int]]:
        """Where the maker is, to `return_to` if that could not be saved."""
        return self._at, frozenset(self._cut)

    def return_to(self, state: tuple[int, frozenset[int]]) -> None:
        """Takes back all that was done since."""
        self._at, self._cut = state[0], set(state[1])

    def skip_lengths(self) -> None:
        """Goes on to what hangs; lengths not ticked off stay so."""
        self._at = max(self._at, len(self.lengths))


def _essence(cutting: LayingOut | None, hanging: LayingOut) -> list[tuple[str, tuple[int, ...], str]]:
    """What is cut and hung, in which order."""
    steps = (*(() if cutting is None else cutting.steps), *hanging.steps)
    return [(step.colour, step.strings, step.word) for step in steps]


def aloud(step: LayingStep, level: Level, lead: str = "") -> str:
    """What is said of a step, after the `lead`: of a length to cut as much as the level allows, else its line."""
    lead = f"{lead}: " if lead else ""
    if not step.spoken:
        return f"{lead}{step.line}"
    wordings = step.spoken[level]
    for words in wordings:
        for said in (f"{lead}{words}", words):
            if fits(said, level):
                return said
    return wordings[-1]


def fits(words: str, level: Level) -> bool:
    """True when the words surely fit into one prompt of that level."""
    return len(words) <= MOST and is_short_enough(words, level)


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


HOW_TO_HANG = "tape or clip them a hand's width below the ends"


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
