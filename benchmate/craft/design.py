"""A design of any family, as plain values; the reader of the file has checked them."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour import Colour
from benchmate.craft.effort import Effort
from benchmate.craft.family import AnyFamily, Body
from benchmate.craft.wording.counting import counted
from benchmate.craft.work import Work

if TYPE_CHECKING:
    from benchmate.craft.colours.terminal_colours import ColourDepth

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

    def on_screen(self, depth: "ColourDepth") -> "Design":
        """The design in the colours of a screen, chosen together so that no two threads look the same."""
        # Imported inside: a command that shows no threads does not load this.
        from benchmate.craft.colours.apart import told_apart
        from benchmate.craft.colours.terminal_colours import nearest

        threads = self.family.threads(self.body)
        used = [name for name in self.colours if name in threads]
        shown = dict(zip(used, told_apart(tuple(self.colours[name].value for name in used), depth), strict=True))
        colours = {
            name: colour._replace(**shown[name]._asdict() if name in shown else {"value": nearest(colour.value, depth)})
            for name, colour in self.colours.items()
        }
        return self._replace(colours=colours)


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
