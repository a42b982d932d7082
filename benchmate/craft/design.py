"""What a design is, whatever its family: plain values, checked by whoever reads them from a file."""

from collections.abc import Mapping
from typing import NamedTuple

from benchmate.craft.colours.colour import Colour
from benchmate.craft.effort import Effort
from benchmate.craft.family import AnyFamily, Body
from benchmate.craft.wording.counting import counted
from benchmate.craft.work import Work

MOST_STRINGS = 500
MOST_STEPS = 200_000


class Design(NamedTuple):
    """A whole design. `start` and `finish` name the designs in written steps worked before and after it."""

    title: str
    family: AnyFamily
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
    def effort(self) -> Effort:
        """What one repeat asks of the maker, without start and finish."""
        return self.family.effort(self.body)

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""
        return self.body.strings

    def say(self, name: str) -> str:
        """How the colour `name` is shown and spoken."""
        return self.colours[name].say

    def say_of(self, string: int) -> str:
        """How the colour of a string is shown and spoken; what numbers strings have is their family's affair."""
        return self.say(self.body.colour_of(string))

    def value_of(self, string: int) -> str:
        """The colour of a string as `#rrggbb`."""
        return self.colours[self.body.colour_of(string)].value


def work_for(design: Design, repeats: int | None = None) -> Work:
    """The steps of a design by itself, worked `repeats` times (the design's own number when None)."""
    return design.family.work(design.body, design.repeats if repeats is None else repeats)


def steps_in(design: Design, repeats: int | None = None) -> int:
    """How many steps the band of `design` takes in all, without its start and finish."""
    return design.family.steps_per_repeat(design.body) * (design.repeats if repeats is None else repeats)


def repeats_fault(design: Design, repeats: int) -> str | None:
    """Why the design cannot be worked `repeats` times, or None when it can."""
    fault = rows_fault(design, repeats)
    if fault is not None:
        return fault
    wrong = design.family.impossible_step(design.body, repeats)
    return None if wrong is None else wrong.message


def rows_fault(design: Design, repeats: int) -> str | None:
    """Why the rows of a design cannot be worked so often at all, whatever their steps; or None when they can."""
    if repeats > 1:
        fault = design.family.cannot_repeat(design.body)
        if fault is not None:
            return fault
    most = MOST_STEPS // max(1, steps_in(design, 1))
    if repeats > most:
        fits = "fits" if most == 1 else "fit"
        return (
            f"{repeats} repeats make {steps_in(design, repeats)} steps, more than {MOST_STEPS}: "
            f"at most {counted(most, 'repeat')} {fits}"
        )
    return None
