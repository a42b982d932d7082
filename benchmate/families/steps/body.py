"""What a piece in written steps is: instructions, and one step as the maker meets it."""

from typing import NamedTuple

from benchmate.craft.shown_step import KnotDrawing


class Instruction(NamedTuple):
    """One instruction in words, done `times` times, with a hint or None, and the drawing that goes with it or None."""

    do: str
    hint: str | None
    times: int
    draw: KnotDrawing | None = None


class Steps(NamedTuple):
    """A piece told in written steps; `strings` are colour names and may be empty."""

    strings: tuple[str, ...]
    steps: tuple[Instruction, ...]

    def colour_of(self, string: int) -> str:
        """The colour name of a string, by its place among `strings`."""
        return self.strings[string - 1]


class WrittenStep(NamedTuple):
    """One instruction in words: the `time`-th of `of` times it is done. `row` is the repeat it belongs to, from 1.

    `draw` is the drawing that goes with it, or None.
    """

    row: int
    do: str
    hint: str | None
    time: int
    of: int
    draw: KnotDrawing | None = None
