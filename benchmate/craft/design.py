"""A design of any family, as plain values; the reader of the file has checked them."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour import Colour
from benchmate.craft.effort import Effort
from benchmate.craft.family import AnyFamily, Body
from benchmate.craft.float_rules import KnotSize
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.variegated.along import UNCHANGING, USUAL, Beginnings, ThreadAlong
from benchmate.craft.wording.counting import counted
from benchmate.craft.work import Work

if TYPE_CHECKING:
    from benchmate.craft.colours.terminal_colours import ColourDepth

MOST_STRINGS = 500
MOST_STEPS = 200_000


class Design(NamedTuple):
    """A design. `start` and `finish` name the designs in written steps that are worked before and after it.

    `beginnings` are not the design's own: by what the place on a variegated thread is reckoned. `parts` are those that
    variegated strings show now; without them, the average along a thread stands for it.
    """

    title: str
    family: AnyFamily
    colours: Mapping[str, Colour]
    body: Body
    thread: str = FLOSS.name
    repeats: int = 1
    start: str | None = None
    finish: str | None = None
    notes: str | None = None
    author: str | None = None
    licence: str | None = None
    beginnings: Beginnings = USUAL
    parts: Mapping[int, int] | None = None

    @property
    def effort(self) -> Effort:
        """How hard one repeat is, without start and finish."""
        return self.family.effort(self.body)

    @property
    def knot_size(self) -> KnotSize | None:
        """The size of knots by which its leading strings are planned; None for the usual one, and without any."""
        rules = self.family.float_rules(self.body)
        return None if rules is None or rules.size == KnotSize() else rules.size

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
        """The colour of a string as `#rrggbb`; of a variegated one, that of the part it shows now."""
        colour = self.colours[self.body.colour_of(string)]
        part = None if self.parts is None else self.parts.get(string)
        return colour.value if part is None else colour.value_at(part)

    @property
    def is_variegated(self) -> bool:
        """Whether any of its threads is."""
        threads = self.family.threads(self.body)
        return any(colour.sequence and name in threads for name, colour in self.colours.items())

    def thread_along(self, work: Work) -> ThreadAlong:
        """Which part of its thread each variegated string shows along the band."""
        return self.family.thread_along(self, self.body, work) if self.is_variegated else UNCHANGING

    def showing(self, parts: Mapping[int, int]) -> "Design":
        """The design with these parts of variegated strings to be seen; itself where there are none."""
        return self._replace(parts=parts) if parts else self

    def on_screen(self, depth: "ColourDepth") -> "Design":
        """The design in the colours of a screen, chosen together so that no two threads look the same."""
        # Imported inside: a command that shows no threads does not load this.
        from benchmate.craft.colours.screen_colours import shown_on

        threads = self.family.threads(self.body)
        return self._replace(colours=shown_on(self.colours, threads, depth))


def work_for(design: Design, repeats: int | None = None) -> Work:
    """The steps of a design without start and finish, for `repeats` repeats (the design's own number when None)."""
    return design.family.work(design.body, design.repeats if repeats is None else repeats)


def steps_in(design: Design, repeats: int | None = None) -> int:
    """The number of steps of a design without start and finish."""
    return design.family.steps_per_repeat(design.body) * (design.repeats if repeats is None else repeats)


class CannotEnd(ValueError):
    """The design cannot end there; the text says why."""


def ending_at(design: Design, rows: int) -> Design:
    """The design with its rows worked over and over up to row `rows`, as one repeat. Raises CannotEnd."""
    family, body = design.family, design.body
    fault = None if rows <= family.rows_per_repeat(body) else family.cannot_repeat(body)
    if fault is None and not 1 <= rows <= MOST_STEPS:
        fault = f"a piece has from 1 to {MOST_STEPS} rows"
    shorter = None if fault is not None else family.first_rows(body, rows)
    if shorter is None:
        raise CannotEnd(fault or "this design is worked in whole repeats only")
    found = design._replace(body=shorter, repeats=1)
    if steps_in(found) > MOST_STEPS:
        raise CannotEnd(f"{rows} rows make {steps_in(found)} steps, more than {MOST_STEPS}")
    return found


def written_out(design: Design, repeats: int) -> tuple[Design, int]:
    """The design and its repeats; with -n repeats it ends at row n, written out as one repeat. Raises CannotEnd."""
    return (design, repeats) if repeats > 0 else (ending_at(design, -repeats), 1)


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
