"""The drawing as SVG 1.1 (W3C Recommendation, second edition): only shapes, sizes in millimetres."""

from collections.abc import Iterator
from html import escape

from benchmate.craft.drawing import DrawnKnot, Layout, Strand
from benchmate.craft.knots import Knot
from benchmate.draw.description import description
from benchmate.draw.shapes import Polygon, crease, gleam, lines_of, shade, shape_of
from benchmate.files.safe_text import shown


def svg(layout: Layout) -> str:
    """The drawing as a whole document, with the design's title and the text of `description`.

    Each kind of knot in each colour is defined once and used wherever it is tied.
    """
    left, top, right, bottom = layout.box
    ground = layout.ground()
    wide, long = f"{right - left:.2f}", f"{bottom - top:.2f}"
    kinds = sorted(set(map(_kind_of, layout.knots)), key=lambda kind: (kind[0].value, *kind[1:]))
    names = {kind: f"k{at}" for at, kind in enumerate(kinds)}
    return "\n".join(
        [
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1"'
            f' width="{wide}mm" height="{long}mm" viewBox="{left:.2f} {top:.2f} {wide} {long}">',
            f"<title>{_in_xml(layout.title)}</title>",
            f"<desc>{_in_xml(description(layout))}</desc>",
            "<defs>",
            *(_kind(layout, *kind, names[kind]) for kind in kinds),
            "</defs>",
            f'<rect x="{left:.2f}" y="{top:.2f}" width="{wide}" height="{long}" fill="{ground}"/>',
            '<g fill="none" stroke-linecap="round" stroke-linejoin="round">',
            *(line for strand in layout.strands if not strand.over for line in _strand(layout, strand, ground)),
            "</g>",
            *(
                f'<use xlink:href="#{names[_kind_of(each)]}" x="{each.x:.3f}" y="{each.y:.3f}"/>'
                for each in layout.knots
            ),
            '<g fill="none" stroke-linecap="round" stroke-linejoin="round">',
            *(line for strand in layout.strands if strand.over for line in _strand(layout, strand, ground)),
            "</g>",
            "</svg>",
            "",
        ]
    )


def _in_xml(text: str) -> str:
    """Text as character data or an attribute's value; characters that XML 1.0 forbids become `?`."""
    # XML 1.0 forbids U+FFFE and U+FFFF; the last two code points of the other planes are not characters either.
    return escape("".join("?" if ord(sign) & 0xFFFE == 0xFFFE else sign for sign in shown(text)))


def _kind_of(tied: DrawnKnot) -> tuple[Knot, str, int]:
    return tied.knot, tied.colour, tied.part


def _kind(layout: Layout, knot: Knot, colour: str, part: int, name: str) -> str:
    shape, value = shape_of(knot, layout.knot_shape), layout.value_of(colour, part)
    # A thin outline in the same colour leaves no seam between neighbours.
    edge = f'fill="{crease(value)}" stroke="{crease(value)}" stroke-width="0.04"'
    return "".join(
        [
            f'<g id="{name}"><polygon {edge} points="{_points(shape.outline)}"/>',
            *(f'<polygon fill="{shade(value)}" points="{_points(back)}"/>' for back in [shape.back] if back),
            *(f'<polygon fill="{value}" points="{_points(half)}"/>' for half in shape.halves),
            *(f'<polygon fill="{gleam(value)}" points="{_points(light)}"/>' for light in shape.gleams),
            "</g>",
        ]
    )


def _strand(layout: Layout, strand: Strand, ground: str) -> Iterator[str]:
    for line in lines_of(strand, layout.value_of(strand.colour, strand.part), ground):
        ends = "" if line.round_ends else ' stroke-linecap="butt"'
        yield (f'<polyline stroke="{line.colour}" stroke-width="{line.thick:.2f}"{ends} points="{_points(line.way)}"/>')


def _points(polygon: Polygon) -> str:
    return " ".join(f"{x:.3f},{y:.3f}" for x, y in polygon)
