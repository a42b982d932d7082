"""The picture a family shows beside the step: the band so far, or the disk with its strands."""

from abc import ABC, abstractmethod
from collections.abc import Collection

from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.display.cells import Line
from benchmate.display.palette import Palette


class Zone(ABC):
    """A picture of the current work, in cells."""

    @abstractmethod
    def width_beside(self, part: Part, width: int, height: int) -> int:
        """The width it needs beside a bench of that size, in cells; 0 when there is no room."""

    @abstractmethod
    def draw(
        self,
        part: Part,
        progress: Progress,
        number: int | None,
        width: int,
        height: int,
        palette: Palette,
        *,
        undone: bool = False,
    ) -> list[Line]:
        """Exactly `height` lines of `width` cells around a marked step, the next to do or (`undone`) the next to undo.

        `number` counts through the whole piece; None when all steps are done.
        """

    def draw_laying_out(
        self, part: Part, filled: Collection[int], now: Collection[int], width: int, height: int, palette: Palette
    ) -> list[Line] | None:
        """The places `filled` so far, and which of them are filled `now`, beside a screen of that size.

        None where there is no room, and where hanging strings show it all.
        """
        return None

    def width_for_choosing(self, part: Part, width: int) -> int:
        """The width it needs for choosing a step on it, on a screen `width` wide; 0 if steps cannot be chosen on it."""
        return 0
