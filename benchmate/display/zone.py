"""What a family shows beside the step: its band so far, or the disk its strands lie on."""

from abc import ABC, abstractmethod

from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.display.cells import Line
from benchmate.display.palette import Palette


class Zone(ABC):
    """A picture of the work as it is, in cells."""

    @abstractmethod
    def width_beside(self, part: Part, width: int, height: int) -> int:
        """How many cells it takes beside a bench of that size; 0 when there is no room."""

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
        """Exactly `height` lines of `width` cells around a step, which is marked: one to do, or to be `undone`.

        `number` counts through the whole piece; None when all is done.
        """

    def width_for_choosing(self, part: Part, width: int) -> int:
        """How many cells it takes where a step is chosen on it, on a screen `width` wide; 0 where none can be."""
        return 0
