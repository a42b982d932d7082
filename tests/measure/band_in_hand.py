"""A simulated band as it really is, knot by knot. The program never sees it, only what its maker says of it."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.thread.gauge import Gauge


class InBand(NamedTuple):
    """A knot as it was made: its kind as a token, `-` for none, and the strings by their numbers."""

    kind: str
    left: int
    knotting: int
    passive: int


class BandInHand:
    """The strings as they hang and the knots as they were made, straight from the table of knots."""

    def __init__(self, strings: Sequence[str]) -> None:
        self._strings = tuple(strings)
        self._hanging = list(range(1, len(strings) + 1))
        self.knots: dict[int, InBand] = {}
        """The steps in the order they were made. One that was left out is here too."""
        self._on_top: list[list[int]] = [[] for _ in range(len(strings) + 2)]

    def make(self, step: int, left: int, kind: str) -> InBand:
        """Makes a knot on the pair whose left string hangs at `left`, counted from 1."""
        assert step not in self.knots, f"step {step} is made already"
        pair = (self._hanging[left - 1], self._hanging[left])
        if kind in ("f", "b"):
            self._hanging[left - 1 : left + 1] = pair[::-1]
        knotting, passive = pair if kind in ("f", "fb", "-") else pair[::-1]
        self.knots[step] = InBand(kind, left, knotting, passive)
        for position in (left, left + 1):
            self._on_top[position].append(step)
        return self.knots[step]

    def take_out(self, step: int) -> InBand:
        """Takes a knot out; nothing may be tied on top of it."""
        knot = self.knots.pop(step)
        for position in (knot.left, knot.left + 1):
            assert self._on_top[position].pop() == step, f"a knot is on top of step {step}"
        if knot.kind in ("f", "b"):
            at = knot.left
            self._hanging[at - 1], self._hanging[at] = self._hanging[at], self._hanging[at - 1]
        return knot

    def hangs(self) -> list[str]:
        """The colours of the strings, left to right."""
        return [self._strings[string - 1] for string in self._hanging]

    def place_of(self, string: int) -> int:
        """Where a string hangs, counted from 0."""
        return self._hanging.index(string)

    def string_at(self, place: int) -> int:
        """The string that hangs at a place, counted from 0."""
        return self._hanging[place]

    def shows(self, step: int) -> str | None:
        """The colour of a knot; None where there is none."""
        knot = self.knots[step]
        return None if knot.kind == "-" else self._strings[knot.knotting - 1]

    def last_colours(self, count: int) -> list[str]:
        """The colours of the last knots, oldest first; fewer where there are fewer."""
        colours = [colour for step in self.knots if (colour := self.shows(step)) is not None]
        return colours[-count:]


class LooseEnd:
    """What hangs loose of one string, and what every knot took of it, mm."""

    def __init__(self, string: int, mm: float, row: int, gauge: Gauge) -> None:
        """`row` is that of its last knot, 0 before the first."""
        self.string = string
        self.mm = mm
        self._gauge = gauge
        self._rows = [row]
        self._took: dict[int, float] = {}

    def takes(self, step: int, row: int, knot: InBand) -> float:
        """What a knot takes of it, and the rows it waited before."""
        if knot.kind == "-" or self.string not in (knot.knotting, knot.passive):
            return 0
        gauge = self._gauge
        carried = gauge.carried_mm if knot.kind in ("f", "b") else gauge.stayed_mm
        return gauge.waited_mm * (row - self._rows[-1] - 1) + (
            gauge.made_mm if knot.knotting == self.string else carried
        )

    def made(self, step: int, row: int, knot: InBand) -> None:
        """A knot was made."""
        took = self.takes(step, row, knot)
        if took:
            self.mm -= took
            self._took[step] = took
            self._rows.append(row)

    def taken_out(self, step: int) -> None:
        """A knot was taken out: its thread hangs loose again."""
        if step in self._took:
            self.mm += self._took.pop(step)
            self._rows.pop()
