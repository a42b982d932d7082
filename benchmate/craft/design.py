"""A design of any family, as plain values; the reader of the file has checked them."""

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
    """A design. `start` and `finish` name the designs in written steps that are worked before and after it."""

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
        """How hard one repeat is, without start and finish."""
        return self.family.effort(self.body)

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""
        return self.body.strings

    def say(self, name: str) -> str:
        """The label of the colour `name`, as shown and spoken."""
        return self.colours[name].say

    def say_of(self, string: int) -> str:
        """The label of a string's colour, as shown and spoken; each family numbers its strings its own way."""
        return self.say(self.body.colour_of(string))

    def value_of(self, string: int) -> str:
        """The colour of a string as `#rrggbb`."""
        return self.colours[self.body.colour_of(string)].value


def work_for(design: Design, repeats: int | None = None) -> Work:
    """The steps of a design without start and finish, for `repeats` repeats (the design's own number when None)."""
    return design.family.work(design.body, design.repeats if repeats is None else repeats)


def steps_in(design: Design, repeats: int | None = None) -> int:
    """The number of steps of a design without start and finish."""
    return design.family.steps_per_repeat(design.body) * (design.repeats if repeats is None else repeats)


def repeats_fault(design: Design, repeats: int) -> str | None:
    """Why the design cannot have `repeats` repeats; None when it can."""
    fault = rows_fault(design, repeats)
    if fault is not None:
        return fault
    impossible = design.family.impossible_step(design.body, repeats)
    return None if impossible is None else impossible.message


def rows_fault(design: Design, repeats: int) -> str | None:
    """Why the rows cannot have `repeats` repeats, before looking at single steps; None when they can."""
    if repeats > 1:
        fault = design.family.cannot_repeat(design.body)
        if fault is not None:
            return fault
    most = MOST_STEPS // max(1, steps_in(design, 1))
    if repeats > most:
        fits = "fits" if most == 1 else "fit"
        return (
            f"{repeats} repeats make {steps_in(design, repeats)} steps, more than {MOST_STEPS}; "
            f"at most {counted(most, 'repeat')} {fits}"
        )
    return None
