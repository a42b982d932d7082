"""The drawing as a PNG picture, painted at three times its size and then reduced, so that edges are smooth."""

from io import BytesIO
from math import ceil, sqrt
from typing import TYPE_CHECKING

from benchmate.craft.drawing import DrawnKnot, Layout, Point
from benchmate.craft.knots import Knot
from benchmate.craft.thread.gauge import FLOSS
from benchmate.draw.shapes import Line, Polygon, crease, gleam, lines_of, shade, shape_of

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

PER_MM = 12.0
"""Pixels per millimetre."""
MOST_PIXELS = 40_000_000
MOST_ACROSS = 20_000
"""The most pixels in a picture, and along one side."""
_LARGER = 3
_AT_A_TIME = 256
"""How many lines of the picture are painted at a time, which limits the memory used."""


def scale_of(layout: Layout, per_mm: float = PER_MM) -> float:
    """Pixels per millimetre: `per_mm`, or as many as the limits of a picture allow."""
    left, top, right, bottom = layout.box
    wide, long = right - left, bottom - top
    return min(per_mm, (MOST_ACROSS - 1) / max(wide, long), sqrt(MOST_PIXELS / (wide * long)))


def png(layout: Layout, per_mm: float = PER_MM) -> bytes:
    """The picture with about `per_mm` pixels per millimetre, or fewer if it would be too large.

    The file states its resolution, so it prints in true size.
    """
    from PIL import Image

    scale = scale_of(layout, per_mm)
    left, top, right, bottom = layout.box
    wide, long = max(1, round((right - left) * scale)), max(1, round((bottom - top) * scale))
    picture = Image.new("RGB", (wide, long))
    painter = _Painter(layout, scale * _LARGER, _AT_A_TIME * _LARGER)
    for at, first in enumerate(range(0, long, _AT_A_TIME)):
        high = min(_AT_A_TIME, long - first)
        picture.paste(painter.paint(at, wide * _LARGER, high * _LARGER).reduce(_LARGER), (0, first))
    file = BytesIO()
    picture.save(file, "PNG", dpi=(scale * 25.4, scale * 25.4))
    return file.getvalue()


class _Painter:
    """Paints strips of a drawing. Lengths are in pixels of the enlarged painting, from its upper left corner."""

    def __init__(self, layout: Layout, scale: float, strip: int) -> None:
        """`strip` is the height of a strip; only the last one may be lower."""
        self._layout, self._scale, self._strip = layout, scale, strip
        self._ground = layout.ground()
        self._sprites: dict[tuple[Knot, str], tuple[Image, Image]] = {}
        self._lines: dict[tuple[int, bool], list[Line]] = {}
        self._knots: dict[int, list[DrawnKnot]] = {}
        for strand in layout.strands:
            for line in lines_of(strand, layout.value_of(strand.colour, strand.part), self._ground):
                drawn = Line(tuple(map(self._in_pixels, line.way)), line.colour, line.thick * scale, line.round_ends)
                heights = [y for _, y in drawn.way]
                for at in self._strips(min(heights), max(heights), drawn.thick):
                    self._lines.setdefault((at, strand.over), []).append(drawn)
        for tied in layout.knots:
            _, y = self._in_pixels((tied.x, tied.y))
            for at in self._strips(y, y, FLOSS.wide_mm * scale):
                self._knots.setdefault(at, []).append(tied)

    def _in_pixels(self, point: Point) -> Point:
        left, top, _, _ = self._layout.box
        return (point[0] - left) * self._scale, (point[1] - top) * self._scale

    def _strips(self, top: float, bottom: float, beyond: float) -> range:
        return range(max(0, int((top - beyond) // self._strip)), int((bottom + beyond) // self._strip) + 1)

    def paint(self, at: int, wide: int, high: int) -> "Image":
        """Strip number `at`, counted from 0."""
        from PIL import Image, ImageDraw

        image = Image.new("RGB", (wide, high), self._ground)
        pen = ImageDraw.Draw(image)
        above, layout = at * self._strip, self._layout
        self._draw_lines(pen, at, above, over=False)
        for tied in self._knots.get(at, ()):
            sprite, mask = self._sprite(tied.knot, layout.value_of(tied.colour, tied.part))
            x, y = self._in_pixels((tied.x, tied.y))
            image.paste(sprite, (round(x) - sprite.width // 2, round(y) - above - sprite.height // 2), mask)
        self._draw_lines(pen, at, above, over=True)
        return image

    def _draw_lines(self, pen: "ImageDraw", at: int, above: int, *, over: bool) -> None:
        for line in self._lines.get((at, over), ()):
            points = [(x, y - above) for x, y in line.way]
            thick = max(1, round(line.thick))
            pen.line(points, fill=line.colour, width=thick, joint="curve")
            for x, y in (points[0], points[-1]) if line.round_ends else ():
                pen.circle((x, y), thick / 2, fill=line.colour)

    def _sprite(self, knot: Knot, value: str) -> "tuple[Image, Image]":
        """A centred picture of a knot, and the mask that pastes it."""
        found = self._sprites.get((knot, value))
        if found is None:
            found = self._sprites[knot, value] = self._drawn_sprite(knot, value)
        return found

    def _drawn_sprite(self, knot: Knot, value: str) -> "tuple[Image, Image]":
        from PIL import Image, ImageDraw

        shape = shape_of(knot, self._layout.knot_shape)
        # One pixel more, so that rounding leaves no ground between neighbours.
        across, down = (max(edge) * self._scale + 1 for edge in zip(*shape.outline, strict=True))
        size = (2 * ceil(across) + 1, 2 * ceil(down) + 1)

        def moved(polygon: Polygon) -> list[Point]:
            return [(x * self._scale + size[0] // 2, y * self._scale + size[1] // 2) for x, y in polygon]

        sprite, mask = Image.new("RGB", size, crease(value)), Image.new("L", size)
        ImageDraw.Draw(mask).polygon(moved(shape.outline), fill=255, outline=255, width=2)
        pen = ImageDraw.Draw(sprite)
        if shape.back is not None:
            pen.polygon(moved(shape.back), fill=shade(value))
        for half in shape.halves:
            pen.polygon(moved(half), fill=value)
        for light in shape.gleams:
            pen.polygon(moved(light), fill=gleam(value))
        return sprite, mask
