"""The layout of a drawing of a finished alpha band."""

from benchmate.craft.drawing import LOOP, MOST_LONG, TAIL, DrawnKnot, Layout, Strand
from benchmate.craft.family import DesignLike
from benchmate.craft.knots import Knot
from benchmate.craft.thread.gauge import FLOSS
from benchmate.families.alpha.body import Alpha
from benchmate.families.alpha.work import AlphaWork


def lay_out(design: DesignLike, body: Alpha, times: int) -> Layout:
    """Knots in columns and rows, base strings out at both ends, and leading strings that turn at the edges.

    The ends and floats of leading strings lie behind the work and are not drawn.
    """
    work = AlphaWork(body, times)
    along = design.thread_along(work)
    rows = min(work.rows, int(MOST_LONG / FLOSS.base_mm))
    long, wide = rows * FLOSS.base_mm, body.columns * FLOSS.wide_mm
    knots: list[DrawnKnot] = []
    drawn = work.span(rows).end
    for number in range(drawn):
        knot = work.step(number)
        part = along.made(number)
        x, y = (knot.column - 0.5) * FLOSS.wide_mm, (knot.row - 0.5) * FLOSS.base_mm
        knots.append(DrawnKnot(x, y, knot.knot, body.colour_of(knot.leading), knot.row, knot.column, part))
    at_first, at_last = (
        tuple(parts[string] for string in work.at_start()) if parts else ()
        for parts in (along.now(lambda _: False, 0), along.now(lambda step: step < drawn, drawn))
    )
    columns = [(column - 0.5) * FLOSS.wide_mm for column in range(1, body.columns + 1)]
    strands = _base_strings(columns, body.base, long, at_first, at_last)
    for last, first in zip(knots[body.columns - 1 :: body.columns], knots[body.columns :: body.columns], strict=False):
        if last.colour == first.colour:
            out = wide + LOOP if last.knot is Knot.FORWARD else -LOOP
            turn = ((last.x, last.y), (out, last.y), (out, first.y), (first.x, first.y))
            strands.append(Strand(turn, last.colour, part=last.part))
    return Layout(
        title=design.title,
        colours=design.colours,
        wide=wide,
        long=long,
        rows=rows,
        of_rows=work.rows,
        once=len(body.rows),
        first=body.strings,
        last=body.strings,
        across="column",
        knot_shape="rectangle",
        knots=tuple(knots),
        strands=tuple(strands),
        first_parts=at_first,
        last_parts=at_last,
    )


def _base_strings(
    columns: list[float], base: str, long: float, at_first: tuple[int, ...], at_last: tuple[int, ...]
) -> list[Strand]:
    """The base strings, from end to end; of variegated ones only the ends, which show all there is to see of them."""
    if not at_first:
        return [Strand(((x, -TAIL), (x, long + TAIL)), base) for x in columns]
    return [
        *(Strand(((x, -TAIL), (x, 0.0)), base, part=part) for x, part in zip(columns, at_first, strict=True)),
        *(Strand(((x, long), (x, long + TAIL)), base, part=part) for x, part in zip(columns, at_last, strict=True)),
    ]
