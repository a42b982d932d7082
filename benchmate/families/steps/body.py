"""A piece in written steps: its instructions, and one of its steps."""

from typing import NamedTuple

from benchmate.craft.shown_step import KnotDrawing


class Instruction(NamedTuple):
    """One instruction, to do `times` times, with its hint and its drawing, each or None."""

    do: str
    hint: str | None
    times: int
    draw: KnotDrawing | None = None


class Steps(NamedTuple):
    """A piece in written steps; `strings` are colour names and may be empty."""

    strings: tuple[str, ...]
    steps: tuple[Instruction, ...]

    def colour_of(self, string: int) -> str:
        """The colour name of a string, by its place in `strings`."""
        return self.strings[string - 1]


class WrittenStep(NamedTuple):
    """An instruction, number `time` of its `of` times. `row` is the repeat it belongs to, from 1.

    `draw` is its drawing, or None.
    """

    row: int
    do: str
    hint: str | None
    time: int
    of: int
    draw: KnotDrawing | None = None
