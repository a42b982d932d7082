"""Lays out the step screen as lines of cells.

Three zones: the current step (a field in the knotting string's colour with the knot in large type, and each of the two
strings on its own colour), the strings as they hang, and the next steps. The band so far stands beside them where there
is room.
"""

from collections.abc import Sequence

from benchmate.bench.zones import coming
from benchmate.bench.zones.current_step import current_step
from benchmate.bench.zones.edges import with_edged_swatches, with_edges
from benchmate.bench.zones.foot import foot, in_one_line
from benchmate.bench.zones.hanging_strings import hanging_strings
from benchmate.bench.zones.large_field import STRIPED, large
from benchmate.bench.zones.room import BEAT, Room, room_for
from benchmate.bench.zones.timer import timer
from benchmate.bench.zones.view_values import COMING, View
from benchmate.display.cells import Line, Span, beside, cells_of, cut, line, width_of
from benchmate.display.palette import Palette

MOST_OF_TITLE = 6
"""The cells of the title that facts beside the count of steps leave free."""


def compose(
    view: View, width: int, height: int, palette: Palette, band: Sequence[Line] | None = None, keys: str = ""
) -> list[Line]:
    """Exactly `height` lines of exactly `width` cells.

    `band` is the picture of the band so far, if any: one line fewer, all of one width. It goes at the right edge under
    the head. `keys` names the most useful keys, the first of them the one for all keys; they stand in the last line.
    """
    view = _with_neutral_colours(view, palette)
    if view.told:
        band = None
    inner = width - (width_of(band[0]) if band else 0)
    beat_lines = next(lines for least, lines in BEAT if height >= least) if view.beat else 0
    notice = coming.notice(view, inner, height, palette.alarm_ink, palette.alarm)
    notice += coming.quiet(view, inner, height, palette)
    above = [] if view.told else coming.before_the_knot(view, inner, height, palette)
    room = room_for(
        height,
        strings_known=bool(view.strings),
        drawn=view.drawn is not None,
        paired=view.left is not None,
        extra=len(above) + len(notice) + beat_lines,
        keeps_strings=view.compare,
    )
    # Where not all has room, the timer stays, and then the notice.
    below = notice[: room.extra - beat_lines]
    above = above[: room.extra - beat_lines - len(below)]
    if view.beat:
        below += timer(view.beat, inner, min(beat_lines, room.extra), palette)
    threads = [view.field, *(side.colour for side in (view.left, view.right) if side is not None)]
    fields = [colour for colour in threads if colour != palette.field]
    if view.told:
        told = large(view.told, inner, max(1, height - 2 - len(below)), view.field)
        lines = with_edges(told, fields, palette.ground)
    else:
        lines = with_edges(current_step(view, inner, room.word, room.pair, palette), fields, palette.ground)
        if room.strings:
            lines += hanging_strings(view, inner, room.strings, palette)
        lines += above
        if room.status:
            lines += with_edged_swatches(coming.next_steps(view, inner, room.coming, height, palette))
    lines += below
    if room.status:
        # Where there is room, the large field says how many to undo.
        counts_out = view.left is not None and room.word < STRIPED
        lines.append(foot(view, inner, palette, keys, counts_out=counts_out))
    else:
        lines.append(in_one_line(view, inner, palette, keys))
    if band:
        lines = beside([lines[: len(band)], band])
    return [_head(view, width, room, palette), *lines][:height]


def _with_neutral_colours(view: View, palette: Palette) -> View:
    """The view with the palette's own colour for the field and the strings that have none."""
    sides = [
        side if side is None or side.colour else side._replace(colour=palette.field) for side in (view.left, view.right)
    ]
    strings = tuple(each if each.colour else each._replace(colour=palette.field) for each in view.strings)
    return view._replace(field=view.field or palette.field, left=sides[0], right=sides[1], strings=strings)


def _head(view: View, width: int, room: Room, palette: Palette) -> Line:
    done, rest = f"{view.done}/{view.of}", "REST" if view.rest and room.coming <= COMING else ""
    where = view.where
    if not room.status or len(done + where) > width // 2:
        where = where.replace("row ", "r").replace(" of ", "/")
    facts = [fact for fact in (rest, done, where) if fact]
    # Where there is no room for all, the count stays whole to the last.
    while len(facts) > 1 and sum(map(len, facts)) + 2 * len(facts) + MOST_OF_TITLE > width:
        facts.remove(next(fact for fact in (rest, where, done) if fact in facts))
    right = "  ".join(facts)
    title = cut(view.title, max(0, width - len(right) - 3))
    gap = max(0, width - 2 - cells_of(title) - len(right))
    ground = palette.head
    return line(
        [
            Span(f" {title}", palette.ink, ground, True),
            Span(" " * gap + right + " ", palette.ink, ground, True),
        ],
        width,
        ground,
    )
