"""Lays out the step screen as lines of cells.

Three zones: the current step (a field in the knotting string's colour with the knot in large type, and each of the two
strings on its own colour), the strings as they hang, and the next steps. The band so far stands beside them where there
is room.
"""

from collections.abc import Sequence
from itertools import accumulate
from math import ceil
from typing import NamedTuple

from benchmate.bench.zones.current_step import current_step
from benchmate.bench.zones.hanging_strings import hanging_strings
from benchmate.bench.zones.view_values import COMING, Beat, Run, View
from benchmate.craft import pace
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, cells_of, clipped, cut, fits, fitted, line, text_line, width_of
from benchmate.display.palette import Palette

REST = "Rest your hands for 5 to 10 minutes: they have worked for 50."

BEAT = ((48, 7), (32, 5), (20, 3), (0, 1))
"""Pairs of a least screen height and the number of lines the timer then takes."""


class Room(NamedTuple):
    """How many lines each zone gets."""

    word: int
    pair: int
    strings: int
    coming: int
    status: int
    beat: int = 0


def room_for(height: int, *, strings_known: bool = True, drawn: bool = False, beat: bool = False) -> Room:
    """Divides a screen of `height` lines among the zones; the head takes one line.

    Where the instruction is `drawn`, the drawing shows the strings, and fewer next steps are listed. The timer of a
    `beat` must be readable from a distance.
    """
    if height >= 20:
        strings, coming, status = 5 + (height >= 32) + (height >= 48), 4, 1
    elif height >= 16:
        strings, coming, status = 3, 3, 1
    else:
        strings, coming, status = 2, 1, 0
    if drawn:
        coming = min(coming, 2)
    if drawn or not strings_known:
        strings = 0
    beat_lines = next(lines for least, lines in BEAT if height >= least) if beat else 0
    if status:
        coming = max(coming, 1 + beat_lines)
    left = height - 1 - strings - coming - status
    pair = 2 if left < 10 else max(4, min(10, left // 3))
    return Room(max(1, left - pair), pair, strings, coming, status, beat_lines)


def compose(
    view: View, width: int, height: int, palette: Palette, band: Sequence[Line] | None = None, keys: str = ""
) -> list[Line]:
    """Exactly `height` lines of exactly `width` cells.

    `band` is the picture of the band so far, if any: one line fewer, all of one width. It goes at the right edge under
    the head. `keys` names the most useful keys, and is shown where there is room.
    """
    drawn, beat = view.drawn is not None, view.beat is not None
    room = room_for(height, strings_known=bool(view.strings), drawn=drawn, beat=beat)
    inner = width - (width_of(band[0]) if band else 0)
    lines = current_step(view, inner, room.word, room.pair, palette)
    if room.strings:
        lines += hanging_strings(view, inner, room.strings, palette)
    lines += _coming(view, inner, room, palette)
    if room.status:
        lines.append(_status(view, inner, palette, keys))
    if band:
        lines = beside([lines[: len(band)], band])
    return [_head(view, width, room, palette), *lines][:height]


def _head(view: View, width: int, room: Room, palette: Palette) -> Line:
    done, rest = f"{view.done}/{view.of}", "REST" if view.rest and room.coming <= COMING else ""
    where = view.where
    if not room.status or len(done + where) > width // 2:
        where = where.replace("row ", "r").replace(" of ", "/")
    right = "  ".join(fact for fact in (rest, done, where) if fact)
    title = cut(view.title, max(8, width - len(right) - 4))
    gap = max(1, width - 2 - cells_of(title) - len(right))
    ground = palette.head
    return line(
        [
            Span(f" {title}", palette.ink, ground, True),
            Span(" " * gap + right + " ", palette.ink, ground, True),
        ],
        width,
        ground,
    )


def _coming(view: View, width: int, zones: Room, palette: Palette) -> list[Line]:
    height = zones.coming
    if view.beat and height == 1:
        return _beat(view.beat, view.notice, width, 1, palette)
    if height == 1:
        return [_notice(view.notice, width, palette) if view.notice else _in_one_line(view, width, palette)]
    ground = palette.panel
    title = "NEXT" if view.coming else ("" if view.mode == "done" else "THE LAST ONE")
    lines = [_hand(view.run, width, palette)] if view.run else []
    if view.before:
        lines = _before(view.before, width, min(2, height - 1), palette)
    for at in range(height - len(lines)):
        step = view.coming[at] if at < len(view.coming) else None
        spans = [Span(f" {title if at == 0 else '':<5}", palette.quiet, ground, True)]
        if step is not None:
            spans += [Span("██", colour, ground) for colour in step.colours]
            room = width - width_of(spans) - 2
            words = next((text for text in (step.words, step.brief) if fits(text, room)), step.short)
            spans.append(Span(" " + cut(words, room), palette.ink, ground, at == 0))
        lines.append(line(spans, width, ground))
    below: list[Line] = []
    if view.beat:
        texts = clipped(view.notice, max(1, width - 2), height - zones.beat)
        below = [text_line(text, width, palette.ink, palette.head, bold=True) for text in texts]
        below += _beat(view.beat, "", width, zones.beat, palette)
    elif view.notice:
        texts = clipped(view.notice, max(1, width - 2), height - 1)
        below = [_notice(text, width, palette) for text in texts]
    elif view.rest and height > COMING:
        below = [_notice(REST, width, palette)]
    elif view.this_press and height > COMING:
        press = f"press  {'  '.join(view.this_press)}"
        below = [text_line(press, width, palette.ink, ground, bold=True)]
    return [*lines[: height - len(below)], *below]


def _before(words: str, width: int, height: int, palette: Palette) -> list[Line]:
    """What to do before the knot."""
    texts = clipped(words, max(1, width - 8), height)
    return [
        line(
            [
                Span(" FIRST " if at == 0 else " " * 7, palette.quiet, palette.panel, True),
                Span(text, palette.ink, palette.panel, True),
            ],
            width,
            palette.panel,
        )
        for at, text in enumerate(texts)
    ]


def _hand(run: Run, width: int, palette: Palette) -> Line:
    """The string in hand, and the one to pick up next."""
    ground = palette.panel
    spans = [Span(" HAND ", palette.quiet, ground, True)]
    then = "then pick up " if width >= 60 else "then "
    # Long names lose their end, never the numbers.
    count = f": {run.at} of {run.of}"
    room = width - 6 - len(count) - 2 - (len(then) + 8 if run.following else 0)
    name = cut(run.words.removesuffix(count), max(4, min(room, width // 2 - len(count))))
    spans.append(Span(f"{name}{count}  ", palette.ink, ground, True))
    if run.following:
        spans += [Span(then, palette.quiet, ground), Span("██", run.colour, ground)]
        left = width - width_of(spans) - 2
        spans.append(Span(" " + cut(run.following, max(1, left)), palette.ink, ground, run.at == run.of))
    return line(spans, width, ground)


def _in_one_line(view: View, width: int, palette: Palette) -> Line:
    """The next steps in their shortest form, with the share done and the time left."""
    if view.before:
        press = f"press={len(view.this_press)}  " if view.this_press else ""
        words = f"{press}{view.before}"
        if not fits(words, width - 2):
            # The column it comes from must not be cut off.
            words = words.replace(" across the back", "")
        return text_line(words, width, palette.ink, palette.panel, bold=True)
    before = f"{view.out} to undo  " if view.out else (f"press={len(view.this_press)}  " if view.this_press else "")
    time = "" if view.seconds_left is None else f" {pace.briefly(view.seconds_left)}"
    shares = [f"{view.share}%{time}"]
    steps = [step.short for step in view.coming]
    if view.run:
        run = view.run
        following = f"then {run.following}" if run.following else "the last run"
        coming = [f"{before}{run.words}, {following}", f"{before}{run.at} of {run.of}, {following}"]
        # The string in hand matters more than the share done, which the head shows too.
        shares += [f"{view.share}%", ""]
    elif steps:
        coming = [f"{before}next {'  '.join(steps)}", f"{before}next {' '.join(steps)}", f"{before}> {' '.join(steps)}"]
    else:
        coming = [before + ("" if view.mode == "done" else "the last one")]
    fitting = ((text, share) for text in coming for share in shares if fits(text, width - len(share) - 4))
    text, share = next(fitting, (coming[-1], shares[-1]))
    left = cut(text, max(0, width - len(share) - 3))
    gap = " " * (width - 2 - cells_of(left) - len(share))
    return line([Span(f" {left}{gap}{share}", palette.ink, palette.panel)], width, palette.panel)


def _notice(text: str, width: int, palette: Palette) -> Line:
    return text_line(text, width, palette.alarm_ink, palette.alarm, bold=True)


def _beat(beat: Beat, notice: str, width: int, height: int, palette: Palette) -> list[Line]:
    """The timer of pace mode: a bar that gets shorter, with the seconds in large type and the keys on it."""
    count = str(ceil(beat.left))
    drawn = large_type.draw(count, width // 3, height) if height > 2 else None
    figures = [f" {row}  " for row in drawn] if drawn else [""]
    above = (height - len(figures)) // 2
    room = width - len(figures[0])
    title, (pauses, back, pace) = f" DONE IN {count}", beat.keys
    if height > 2 and not notice:
        says = [title, f" {pauses}  {back}", f" {pace}"]
    else:
        texts = (
            [f"{title}  {notice}"]
            if notice
            else [title, *accumulate((f"{title}  {pauses}", back, pace), "{}  {}".format)]
        )
        says = [next((text for text in reversed(texts) if fits(text, room - 1)), cut(texts[0], room))]
    full = min(width, round(width * beat.left / beat.seconds))
    lines = []
    for at in range(height):
        figure = figures[at - above] if 0 <= at - above < len(figures) else " " * len(figures[0])
        words = says[at - height + len(says)] if at >= height - len(says) else ""
        text = fitted(figure + cut(words, room), width)
        head = fitted(text, full)
        spans = [
            Span(head, palette.alarm_ink, palette.alarm, True),
            Span(text[len(head) :], palette.ink, palette.panel, True),
        ]
        lines.append(line(spans, width, palette.panel))
    return lines


def _status(view: View, width: int, palette: Palette, keys: str) -> Line:
    knot = "" if view.left is None else f"knot {view.n}"
    press = f"one press: {len(view.this_press)}" if view.this_press else ""
    out = f"{view.out} to undo" if view.out else ""
    share, seconds = f"{view.share}%", view.seconds_left
    times = [""] if seconds is None else [f"{pace.in_words(seconds)} left", pace.briefly(seconds)]
    full = [[knot, out, share, time, press] for time in times]
    facts = ["   ".join(filter(None, [*each, view.saving])) for each in full]
    facts.append("  ".join(filter(None, [share, times[-1], press, view.saving])))
    facts += ["   ".join(filter(None, each)) for each in full]
    fits = [text for text in facts if len(text) <= width - 2] or facts[-1:]
    # Rather shorten what the order saves than leave out the keys.
    left = next((text for text in fits if view.saving in text and len(text) + len(keys) + 5 <= width), fits[0])
    gap = width - len(left) - len(keys) - 2
    text = f" {left}{' ' * gap}{keys} " if gap >= 3 else f" {left}"
    return line([Span(text, palette.ink, palette.head)], width, palette.head)
