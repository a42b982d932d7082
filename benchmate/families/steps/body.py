"""A piece in written steps: its instructions, and one of its steps."""

from typing import NamedTuple

from benchmate.craft.knots import Knot
from benchmate.craft.shown_step import KnotDrawing


class Instruction(NamedTuple):
    """One instruction, to do `times` times, with its hint and its drawing, each or None.

    `ties` is the knot that is whole each time it is done; None for any other instruction. `lay_out` is true where the
    strings are laid out with it. `lengths` says, in the first step of a start, which lengths the design takes, and
    `lengths_aloud` by ear where that differs.
    """

    do: str
    hint: str | None
    times: int
    draw: KnotDrawing | None = None
    ties: Knot | None = None
    lay_out: bool = False
    lengths: str = ""
    lengths_aloud: str = ""


class Steps(NamedTuple):
    """A piece in written steps; `strings` are colour names and may be empty.

    `doubled` is true for a start in which two strings of one colour are one length, folded. `uses` is the thread that
    a start or finish takes of each string, mm; None where it does not say.
    """

    strings: tuple[str, ...]
    steps: tuple[Instruction, ...]
    doubled: bool = False
    uses: float | None = None

    def colour_of(self, string: int) -> str:
        """The colour name of a string, by its place in `strings`."""
        return self.strings[string - 1]


class WrittenStep(NamedTuple):
    """An instruction, number `time` of its `of` times. `row` is the repeat it belongs to, from 1.

    `draw` is its drawing, or None. `swapped` says that its two strings do not hang as at the start, because knots have
    been tied since. `lengths` are the lengths that the design takes, in the first step of a start, and `lengths_aloud`
    the same by ear where that differs.
    """

    row: int
    do: str
    hint: str | None
    time: int
    of: int
    draw: KnotDrawing | None = None
    swapped: bool = False
    lengths: str = ""
    lengths_aloud: str = ""

    @property
    def notes(self) -> tuple[str, ...]:
        """What to say below the instruction: the lengths, then the hint."""
        return tuple(text for text in (self.lengths, self.hint) if text)
