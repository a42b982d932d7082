"""Divides a picture into knots: the number of rows, and the part of the picture in each knot.

Colours are averaged as light, not as the file's levels: half black and half white gives a grey of level 188, not 128.
"""

from array import array
from math import ceil, floor
from typing import TYPE_CHECKING, NamedTuple, cast

from benchmate.craft.colours.colour_difference import LIGHT, encoded
from benchmate.craft.thread.gauge import FLOSS
from benchmate.picture.strips import Decoded, Strips

if TYPE_CHECKING:
    from PIL.Image import Image


SPOTS = 8
"""The number of spots sampled across each knot, and down."""

Levels = tuple[int, ...]
"""Red, green and blue in sRGB, 0 to 255."""

# How many pixels are turned into light at a time, which limits the memory used.
_AT_A_TIME = 1_000_000
_MOST_AT_A_TIME = 4_000_000

# The sRGB level of each of 65,536 equal steps of light.
_FINEST = 65_535
_LEVELS = [round(255 * encoded(light / _FINEST)) for light in range(_FINEST + 1)]


class Sampled(NamedTuple):
    """A picture divided into knots.

    `spots` is an image in mode RGB with `SPOTS` by `SPOTS` pixels for each knot. `means` has the mean light of each
    knot, row by row from the top: three arrays of numbers from 0 to 1, for red, green and blue.
    """

    columns: int
    rows: int
    spots: "Image"
    means: tuple["array[float]", "array[float]", "array[float]"]

    def mean(self, knot: int) -> Levels:
        """The mean colour of a knot, counted from 0 row by row."""
        return tuple(levels_of(light[knot]) for light in self.means)


def rows_for(columns: int, width: int, height: int) -> int:
    """The number of rows that keeps the proportions of a `width` by `height` picture at `columns` columns."""
    return max(1, floor(columns * height / width * FLOSS.wide_mm / FLOSS.base_mm + 0.5))


def levels_of(light: float) -> int:
    """The sRGB level, 0 to 255, of an amount of light, which is limited to 0 to 1."""
    return _LEVELS[round(_FINEST * min(1.0, max(0.0, light)))]


def sampled(image: "Image | Strips", columns: int, rows: int) -> Sampled:
    """An image in mode RGB, divided evenly into `columns` by `rows` knots."""
    from PIL import Image

    across, down = columns * SPOTS, rows * SPOTS
    # With many pixels per knot all count the same; with few, each counts by the share of it inside the knot.
    parts = _lights(image, columns if image.width >= across else across, rows if image.height >= down else down)
    means = [array("f", part.resize((columns, rows), Image.Resampling.BOX).tobytes()) for part in parts]
    return Sampled(columns, rows, _image_of(_lights(image, across, down)), (means[0], means[1], means[2]))


def shrunk(image: "Image | Strips", most: int) -> "Image":
    """An image in mode RGB, reduced if a side is longer than `most` pixels."""
    scale = most / max(image.size)
    if scale >= 1 and not isinstance(image, Strips):
        return image
    return _image_of(_lights(image, *(max(1, round(side * scale)) for side in image.size)))


def _image_of(lights: list["Image"]) -> "Image":
    """The image in mode RGB from the light in three channels."""
    from PIL import Image

    steps = (light.point(lambda amount: amount * _FINEST + 0.5).convert("I") for light in lights)
    return Image.merge("RGB", [step.point(_LEVELS, "L") for step in steps])


def _lights(image: "Image | Strips", across: int, down: int) -> list["Image"]:
    """The light of each channel in `across` by `down` spots, as images in mode F.

    A pixel belongs to the spot its centre lies in. If pixels are larger than spots, a spot has the light of the pixel
    its centre lies in.
    """
    strips = image if isinstance(image, Strips) else Decoded(image, None, lambda strip: strip)
    lights = _stored_lights(strips, *((down, across) if strips.sideways else (across, down)))
    return lights if strips.turn is None else [light.transpose(strips.turn) for light in lights]


def _stored_lights(image: Strips, across: int, down: int) -> list["Image"]:
    """The light of each channel, before the picture is turned upright."""
    from PIL import Image

    width, height = image.stored
    parts = ceil(width * height / down / _MOST_AT_A_TIME)
    if parts > 1:
        # A row of very large spots is put together from rows of smaller ones.
        lights = _stored_lights(image, across, down * parts)
        return [light.resize((across, down), Image.Resampling.BOX) for light in lights]
    lights = [Image.new("F", (across, down)) for _ in range(3)]
    step = max(1, min(down, _AT_A_TIME * down // (width * height)))
    firsts = range(0, down, step)
    edges = [(first * height / down, min(down, first + step) * height / down) for first in firsts]
    strips = image.strips((floor(top), ceil(bottom)) for top, bottom in edges)
    for first, (top, bottom), strip in zip(firsts, edges, strips, strict=True):
        box = (0, top - floor(top), width, bottom - floor(top))
        size = (across, min(step, down - first))
        for light, channel in zip(lights, strip.split(), strict=True):
            light.paste(channel.point(LIGHT, "F").resize(size, Image.Resampling.BOX, box=box), (0, first))
    return lights


def colour_counts(image: "Image", most: int) -> tuple["Image", list[tuple[int, Levels]]]:
    """An image in mode RGB or RGBA with at most `most` colours (64 or more), and how often each of them occurs.

    An image with more colours gets its red, green and blue rounded, no more than needed. A photograph has too many
    colours to compare one by one, and its noise is greater than what rounding removes.
    """
    unchanged = list(range(256)) * (len(image.getbands()) - 3)
    dropped = 0
    while (colours := image.getcolors(most)) is None:
        dropped += 1
        rounded = [(level >> dropped << dropped) + (1 << dropped >> 1) for level in range(256)]
        image = image.point(rounded * 3 + unchanged)
    return image, cast("list[tuple[int, Levels]]", colours)
