"""The layout of a drawing of a finished alpha band."""

from benchmate.craft.drawing import LOOP, MOST_LONG, TAIL, DrawnKnot, Layout, Strand
from benchmate.craft.family import DesignLike
from benchmate.craft.gauge import ALPHA_ROW, KNOT_WIDE
from benchmate.craft.knots import Knot
from benchmate.families.alpha.body import Alpha
from benchmate.families.alpha.work import AlphaWork


def lay_out(design: DesignLike, body: Alpha, times: int) -> Layout:
    """Knots in columns and rows, base strings out at both ends, and leading strings that turn at the edges.

    The ends and floats of leading strings lie behind the work and are not drawn.
    """
    work = AlphaWork(body, times)
    rows = min(work.rows, int(MOST_LONG / ALPHA_ROW))
    long, wide = rows * ALPHA_ROW, body.columns * KNOT_WIDE
    knots: list[DrawnKnot] = []
    for number in range(work.span(rows).end):
        knot = work.step(number)
        x, y = (knot.column - 0.5) * KNOT_WIDE, (knot.row - 0.5) * ALPHA_ROW
        knots.append(DrawnKnot(x, y, knot.knot, body.colour_of(knot.leading), knot.row, knot.column))
    columns = [(column - 0.5) * KNOT_WIDE for column in range(1, body.columns + 1)]
    strands = [Strand(((x, -TAIL), (x, long + TAIL)), body.base) for x in columns]
    for last, first in zip(knots[body.columns - 1 :: body.columns], knots[body.columns :: body.columns], strict=False):
        if last.colour == first.colour:
            out = wide + LOOP if last.knot is Knot.FORWARD else -LOOP
            turn = ((last.x, last.y), (out, last.y), (out, first.y), (first.x, first.y))
            strands.append(Strand(turn, last.colour))
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
    )
