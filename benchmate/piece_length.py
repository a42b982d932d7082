"""Makes a piece longer or shorter: more repeats or fewer, or an end after any row. What is tied stays tied."""

from typing import NamedTuple

from benchmate.craft.design import CannotEnd, Design, ending_at, repeats_fault, steps_in
from benchmate.craft.ways import worked_as
from benchmate.craft.wording.counting import counted
from benchmate.design_files.load import parse
from benchmate.piece_opening import OpenedPiece, UpdatedDesign, remade
from benchmate.store.open_piece import OpenPiece


class Length(NamedTuple):
    """How long a band is: whole `repeats`, or 0 where it ends within one; and its rows in all.

    In a family without rows a repeat counts as a row.
    """

    repeats: int
    rows: int


class NoSuchLength(ValueError):
    """The piece cannot have that length; the text says why."""


class Lengths:
    """The lengths that a piece can have."""

    def __init__(self, held: OpenPiece) -> None:
        self._held = held
        design, _ = parse(held.copy.design, limit_texts=False)
        assert design is not None
        self.design: Design = worked_as(design, held.way)
        """The design of its copy, worked as the piece is."""
        family, main = self.design.family, held.whole.main
        self.rows_per_repeat = family.rows_per_repeat(self.design.body)
        """The rows of one repeat."""
        self.has_rows = family.first_rows(self.design.body, 1) is not None
        """Whether it can end within a repeat."""
        self.now = self.length(rows=main.work.rows)
        """Its length now."""
        tied = [number for number in held.progress.history if main.first <= number < main.first + main.work.size]
        # The numbers of the chart go up row by row.
        last_tied, last_changed = (
            main.work.row_of(max(numbers) - main.first) if numbers else 0 for numbers in (tied, held.changes)
        )
        self.fewest = max(last_tied, last_changed)
        """The last row with a tied step, or with one that is to be made otherwise; it cannot end before."""
        self._has_tied = last_tied == self.fewest
        number = held.progress.next
        whole = len(tied) == main.work.size
        at_start = number is not None and number < main.first
        here = 0 if number is None or whole else 1 if at_start else main.work.row_of(number - main.first)
        self.row: int | None = here or None
        """The row that is worked on now; None when the band is done."""
        self.first_end: int | None = max(here, self.fewest) if here else None
        """The row that is worked on now, or a later one where the band cannot end before; None when it is done."""

    def length(self, *, repeats: int = 0, rows: int = 0) -> Length:
        """The length of so many repeats, or of so many rows."""
        rows = rows or repeats * self.rows_per_repeat
        whole, rest = divmod(rows, self.rows_per_repeat)
        return Length(0 if rest else whole, rows)

    def steps(self, length: Length) -> int:
        """How many steps the band then has. Raises NoSuchLength."""
        if length.rows < max(1, self.fewest):
            raise NoSuchLength(self._too_short())
        design = self.design
        if length.repeats:
            fault = repeats_fault(design, length.repeats)
            if fault is not None:
                raise NoSuchLength(fault)
            return steps_in(design, length.repeats)
        try:
            return steps_in(ending_at(design, length.rows))
        except CannotEnd as error:
            raise NoSuchLength(str(error)) from error

    def _too_short(self) -> str:
        unit = self.design.family.row_word or "repeat"
        word = self.design.family.step_word
        if not self._has_tied:
            return f"{unit} {self.fewest} has a {word} to be made otherwise than charted"
        return f"{unit} {self.fewest} has tied {word}s" if self.fewest else f"at least 1 {unit}"

    def changed(self, length: Length) -> UpdatedDesign:
        """The piece with that length. Raises NoSuchLength."""
        self.steps(length)
        copy = self._held.copy._replace(repeats=length.repeats or -length.rows)
        try:
            return UpdatedDesign(copy, remade(self._held, copy))
        except ValueError as error:
            raise NoSuchLength(str(error)) from error

    @property
    def has_added_finish(self) -> bool:
        """Whether it has a finish that its design does not name."""
        return self.design.finish is None and self._held.copy.finish is not None

    def without_finish(self) -> UpdatedDesign:
        """The piece without its finish."""
        copy = self._held.copy._replace(finish=None)
        return UpdatedDesign(copy, remade(self._held, copy))

    def words(self, length: Length) -> str:
        """`3 repeats, 12 rows`, `17 rows`, `3 repeats`."""
        rows = counted(length.rows, "row")
        if not self.has_rows:
            return counted(length.repeats, "repeat")
        return f"{counted(length.repeats, 'repeat')}, {rows}" if length.repeats else rows


def length_asked_for(opening: OpenedPiece) -> UpdatedDesign | None:
    """The piece with the repeats in the options, where they differ from its own and it can have them."""
    held, repeats = opening.held, opening.options.repeats
    if repeats is None or repeats == held.copy.repeats or held.wrong is not None:
        return None
    lengths = Lengths(held)
    try:
        changed = lengths.changed(lengths.length(repeats=repeats))
    except NoSuchLength:
        return None
    return None if held.carried_over(changed.whole) is None else changed
