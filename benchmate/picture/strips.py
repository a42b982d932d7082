"""Large pictures strip by strip, so that all of one is never in memory as light, or even as colours."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image, Transpose

Rows = tuple[int, int]
"""A strip of a picture: its first row, and the row after its last."""


class Strips(ABC):
    """A picture that is read in strips of rows as they are stored; `turn` makes it upright.

    `width` and `height` are those of the upright picture, `stored` is the size before it is turned.
    """

    def __init__(self, stored: tuple[int, int], turn: "Transpose | None") -> None:
        self.stored = stored
        self.turn = turn
        self.width, self.height = stored[::-1] if self.sideways else stored

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the upright picture."""
        return self.width, self.height

    @property
    def sideways(self) -> bool:
        """Whether turning the picture upright exchanges its width and height."""
        from PIL.Image import Transpose

        return self.turn in (
            Transpose.TRANSPOSE,
            Transpose.TRANSVERSE,
            Transpose.ROTATE_90,
            Transpose.ROTATE_270,
        )

    @abstractmethod
    def strips(self, bounds: Iterable[Rows]) -> "Iterator[Image]":
        """The strips in mode RGB. Each begins at a row of the one before it or just after."""


class Decoded(Strips):
    """A picture that is decoded, in the mode of its file; `to_rgb` changes the mode of a part of it."""

    def __init__(self, image: "Image", turn: "Transpose | None", to_rgb: "Callable[[Image], Image]") -> None:
        super().__init__(image.size, turn)
        self._image, self._to_rgb = image, to_rgb

    def strips(self, bounds: Iterable[Rows]) -> "Iterator[Image]":
        """Parts of the decoded picture."""
        for top, bottom in bounds:
            yield self._to_rgb(self._image.crop((0, top, self._image.width, bottom)))


class LightnessAndColour(Strips):
    """A picture in three planes, as JPEG files have it: full-size lightness, and colour at half the size."""

    def __init__(self, lightness: "Image", colour: "tuple[Image, Image]", turn: "Transpose | None") -> None:
        super().__init__(lightness.size, turn)
        self._lightness, self._colour = lightness, colour

    def strips(self, bounds: Iterable[Rows]) -> "Iterator[Image]":
        """Parts of the planes, joined."""
        from PIL import Image

        width, height = self.stored
        for top, bottom in bounds:
            planes = [self._lightness.crop((0, top, width, bottom))]
            for plane in self._colour:
                box = (0, top * plane.height / height, plane.width, bottom * plane.height / height)
                planes.append(plane.resize((width, bottom - top), Image.Resampling.BILINEAR, box=box))
            yield Image.merge("YCbCr", planes).convert("RGB")
