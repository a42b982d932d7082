"""A start, a band and a finish worked as one piece."""

from array import array
from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.design import Design, work_for
from benchmate.craft.laying_out import LayingOut
from benchmate.craft.thread.variegated.along import UNCHANGING, ThreadAlong
from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise
from benchmate.craft.work import CannotBeMade, RowSpan, Step, Work

if TYPE_CHECKING:
    from benchmate.craft.colours.terminal_colours import ColourDepth
    from benchmate.craft.progress import Progress
    from benchmate.craft.thread.cutting_steps.length_steps import From
    from benchmate.craft.thread.cutting_steps.to_cut import KnownThread, ToCut


class Part(NamedTuple):
    """One part of a piece: its name there, its design, its steps, and the number of its first step.

    `along` says which part of its thread each variegated string shows.
    """

    called: str
    design: Design
    work: Work
    first: int
    along: ThreadAlong = UNCHANGING

    def design_at(self, step: int) -> Design:
        """The design as the strings of a step show in it; `step` counts through the whole piece."""
        return self.design.showing(self.along.of_step(step - self.first))

    def design_now(self, progress: "Progress") -> Design:
        """The design as its strings hang now."""
        first, done = self.first, progress.done - self.first
        done = min(max(0, done), self.work.size)
        return self.design.showing(self.along.now(lambda step: progress.is_tied(first + step), done))


class WholePiece(Work):
    """A start, a band and a finish as one piece. The band rests on the whole start, the finish on the whole band."""

    def __init__(self, parts: Sequence[tuple[str, Design, Work]], main: int, to_cut: "ToCut | None" = None) -> None:
        """`to_cut` is what to cut for it, where its thread is known."""
        self.to_cut = to_cut
        self.instead_of: Mapping[int, Made] = {}
        """How the steps are charted that are made otherwise."""
        self.parts: list[Part] = []
        self._firsts = array("L")
        self._row_firsts = array("L")
        self.size = 0
        self.rows = 0
        for called, design, work in parts:
            self.parts.append(Part(called, design, work, self.size, design.thread_along(work)))
            self._firsts.append(self.size)
            self._row_firsts.append(self.rows)
            self.size += work.size
            self.rows += work.rows
        self.main = self.parts[main]
        self.strings = self.main.work.strings

    def on_screen(self, depth: "ColourDepth") -> "WholePiece":
        """The same steps, with every design in the colours of a screen (`Design.on_screen`); made once."""
        shown = self._on_screens.get(depth)
        if shown is None:
            parts = [(part.called, part.design.on_screen(depth), part.work) for part in self.parts]
            shown = WholePiece(parts, self._main_index, self.to_cut)
            shown._shows_the_same(self)
            self._on_screens[depth] = shown
        return shown

    def _shows_the_same(self, other: "WholePiece") -> None:
        """What the strings show is worked out once for all that show one piece."""
        self.instead_of = other.instead_of
        both = zip(self.parts, other.parts, strict=True)
        self.parts = [part._replace(along=there.along) for part, there in both]
        self.main = self.parts[other._main_index]

    def made_otherwise(self, made: MadeOtherwise) -> "WholePiece":
        """The same steps, of which those in `made`, all knots of the main design, are made otherwise.

        Raises CannotBeMade where one is no such knot, or is made so already.
        """
        if not made:
            return self
        for number, how in made.items():
            if self.how_made(number) == how:
                raise CannotBeMade(f"knot {number + 1 - self.main.first} is to be made so in the chart")
        first = self.main.first
        work = self.main.work.made_otherwise({number - first: how for number, how in made.items()})
        parts = [(part.called, part.design, work if part is self.main else part.work) for part in self.parts]
        changed = WholePiece(parts, self._main_index, self.to_cut)
        charted = {**{number: self.how_made(number) for number in made}, **self.instead_of}
        changed.instead_of = {number: how for number, how in charted.items() if changed.how_made(number) != how}
        return changed

    def in_doubt(self, doubted: Collection[int]) -> "WholePiece":
        """As in the main design; made once for the same steps. Steps of its other parts have only one way."""
        main = self.main
        own = frozenset(step - main.first for step in doubted if 0 <= step - main.first < main.work.size)
        if not own:
            return self
        told = self._in_doubt.get(own)
        if told is None:
            work = main.work.in_doubt(own)
            if work is main.work:
                return self
            parts = [(part.called, part.design, work if part is main else part.work) for part in self.parts]
            told = WholePiece(parts, self._main_index, self.to_cut)
            told._shows_the_same(self)
            told.unsure_strings = work.unsure_strings
            self._in_doubt[own] = told
        return told

    def colour_in_doubt(self, number: int) -> bool:
        """As in the part."""
        part = self.part_of(number)
        return part.work.colour_in_doubt(number - part.first)

    def with_new_strings(self, joined: frozenset[tuple[int, int]]) -> "WholePiece":
        """The same steps, of which new strings are in those after which they took over, as in `Beginnings`.

        It is this piece itself where nothing looks otherwise for it.
        """
        design = self.main.design
        if not design.is_variegated or design.beginnings.joined == joined:
            return self
        main = design._replace(beginnings=design.beginnings._replace(joined=joined))
        parts = [(part.called, main if part is self.main else part.design, part.work) for part in self.parts]
        changed = WholePiece(parts, self._main_index, self.to_cut)
        changed.instead_of = self.instead_of
        return changed

    def how_made(self, number: int) -> Made:
        """As in the main design. Raises CannotBeMade for a step of another part, and for one that has only one way."""
        first = self.main.first
        if not first <= number < first + self.main.work.size:
            raise CannotBeMade("only the knots of the band can be made otherwise, not its start or its finish")
        return self.main.work.how_made(number - first)

    @property
    def _main_index(self) -> int:
        return next(at for at, part in enumerate(self.parts) if part is self.main)

    @cached_property
    def _on_screens(self) -> "dict[ColourDepth, WholePiece]":
        return {}

    @cached_property
    def _in_doubt(self) -> "dict[frozenset[int], WholePiece]":
        return {}

    def at_start(self) -> list[int]:
        """As in the main design."""
        return self.main.work.at_start()

    @property
    def resource_count(self) -> int:
        """As in the main design."""
        return self.main.work.resource_count

    def sub_works(self) -> list[tuple[int, Work]]:
        """The start, the band and the finish; not every piece has all three."""
        return [(part.first, part.work) for part in self.parts]

    def part_of(self, number: int) -> Part:
        """The part a step belongs to."""
        return self.parts[self._part_index(number)]

    def _part_index(self, number: int) -> int:
        if not 0 <= number < self.size:
            raise IndexError(number)
        return bisect_right(self._firsts, number) - 1

    def step(self, number: int) -> Step:
        """The step, with its row in its own part."""
        part = self.part_of(number)
        return part.work.step(number - part.first)

    def lays_out_at(self) -> int | None:
        """Where the start says so; where it does not, before the first step of the main design."""
        start = self.parts[0]
        at = None if start is self.main else start.work.lays_out_at()
        if at is not None:
            return at
        at = self.main.work.lays_out_at()
        return None if at is None else self.main.first + at

    def laying_out(self) -> LayingOut:
        """How to lay out the strings of the main design; without steps when it has no strings."""
        design = self.main.design
        laying = design.family.laying_out(design, design.body, started=self.main.first > 0)
        if not design.is_variegated:
            return laying
        from benchmate.craft.thread.variegated.start_point import hung_there

        return hung_there(laying, design)

    def cutting_out(self, sources: "Mapping[int, From] | None" = None) -> LayingOut | None:
        """The lengths to cut for it, one a step; None where there are none. `sources` as in `length_steps`."""
        return None if self.to_cut is None else self.to_cut.steps(self.main.work, sources)

    def row_of(self, number: int) -> int:
        """The row of a step, from 1, counted through all parts."""
        index = self._part_index(number)
        part = self.parts[index]
        return self._row_firsts[index] + part.work.row_of(number - part.first)

    def span(self, row: int) -> RowSpan:
        """The steps of a row counted through all parts."""
        index = bisect_right(self._row_firsts, row - 1) - 1
        part = self.parts[index]
        first, end = part.work.span(row - self._row_firsts[index])
        return RowSpan(part.first + first, part.first + end)

    def swapped_at(self, number: int) -> int:
        """As in the part; only the main design has known strings."""
        part = self.part_of(number)
        return part.work.swapped_at(number - part.first) if part is self.main else 0

    def swapped_with(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.swapped_with(number - part.first)

    def change_places(self, number: int, hanging: list[int]) -> None:
        """As in the part; only the main design has known strings."""
        number -= self.main.first
        if 0 <= number < self.main.work.size:
            self.main.work.change_places(number, hanging)

    def picked_at(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.picked_at(number - part.first)

    def knotting(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.knotting(number - part.first)

    def run_key(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.run_key(number - part.first)

    def passive(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.passive(number - part.first)

    def takes(self, number: int) -> tuple[int, ...]:
        """As in the part."""
        part = self.part_of(number)
        return part.work.takes(number - part.first)

    def hand(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.hand(number - part.first)

    def rests_on(self, number: int) -> tuple[int, ...]:
        """As in the part; the first steps there rest on the last steps of the part before."""
        index = self._part_index(number)
        part = self.parts[index]
        below = part.work.rests_on(number - part.first)
        return tuple(part.first + other for other in below) or self._open_ends(index - 1, top=True)

    def carries(self, number: int) -> tuple[int, ...]:
        """As in the part; the last steps there carry the first steps of the next part."""
        index = self._part_index(number)
        part = self.parts[index]
        above = part.work.carries(number - part.first)
        return tuple(part.first + other for other in above) or self._open_ends(index + 1, top=False)

    def _open_ends(self, index: int, *, top: bool) -> tuple[int, ...]:
        """The steps a part ends with (`top`) or begins with, skipping empty parts; none beyond the piece."""
        if not 0 <= index < len(self.parts):
            return ()
        part = self.parts[index]
        if part.work.size == 0:
            return self._open_ends(index - 1 if top else index + 1, top=top)
        ends = self._ends.get((index, top))
        if ends is None:
            beyond = part.work.carries if top else part.work.rests_on
            ends = tuple(part.first + number for number in range(part.work.size) if not beyond(number))
            self._ends[index, top] = ends
        return ends

    @cached_property
    def _ends(self) -> dict[tuple[int, bool], tuple[int, ...]]:
        return {}


def whole_piece(
    design: Design,
    start: Design | None,
    finish: Design | None,
    repeats: int | None = None,
    thread: "KnownThread | None" = None,
) -> WholePiece:
    """The steps of a design together with its start and finish. The start says what it knows of the design.

    Where the `thread` is known, the piece knows what to cut.
    """
    to_cut = None
    if thread is not None:
        # Imported here: a command that only counts steps does not need it.
        from benchmate.craft.thread.cutting_steps.to_cut import ToCut

        if design.is_variegated:
            from benchmate.craft.thread.variegated.start_point import begun

            design = begun(design, thread.estimate, start, finish, repeats)
        to_cut = ToCut(thread, design, start, finish, repeats)
    if start is not None:
        known = () if to_cut is None else (to_cut.lengths, to_cut.thread.units)
        start = start._replace(body=start.family.start_of(start.body, design, *known))
    parts = [("start", start), ("band", design), ("finish", finish)]
    return WholePiece(
        [
            (called, part, work_for(part, repeats if part is design else None))
            for called, part in parts
            if part is not None
        ],
        0 if start is None else 1,
        to_cut,
    )
