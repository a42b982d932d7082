"""What stands on the step screen when every step is done."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from benchmate.bench.screens.page import foot_lines
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, cells_of, clipped, cut, line, text_line, width_of
from benchmate.display.palette import Palette

LEAST_LARGE, MOST_LARGE = 3, 5
"""The lines that a text in large type has."""
MOST_NOTICE = 3
"""The most lines of a notice."""


class Offer(NamedTuple):
    """Something to do after the last step: its key, in words, and what it does."""

    key: str
    says: str
    act: Callable[[], object]


class AllDone(NamedTuple):
    """What the screen says: the title and the count of the head, the large word, texts, a notice, and the keys."""

    title: str
    done: str
    word: str
    texts: Sequence[str]
    notice: str
    offers: Sequence[Offer]
    keys: Sequence[str]


def all_done(shown: AllDone, width: int, height: int, palette: Palette, band: Sequence[Line] | None) -> list[Line]:
    """Exactly `height` lines of exactly `width` cells; `band` is the picture beside them, one line fewer, if any."""
    inner = width - (width_of(band[0]) if band else 0)
    room = height - 2
    offers = _offers(shown.offers, inner, palette)
    # The word, a text and every offer stay while a notice stands.
    most = min(MOST_NOTICE, max(1, room - len(offers) - 2))
    notice = clipped(shown.notice, max(1, inner - 2), most) if shown.notice else []
    rest = len(notice) + len(offers) + len(shown.texts)
    word = _word(shown.word, inner, max(1, min(room - rest, (room + 1) // 2)), palette)
    texts = [part for text in shown.texts for part in clipped(text, max(1, inner - 2), 2)]
    texts = texts[: max(0, room - len(word) - len(offers) - len(notice))]
    below = [text_line(text, inner, palette.ink, palette.ground, bold=True) for text in texts]
    spare = room - len(word) - len(notice)
    keys = [(offer.key, offer.says) for offer in shown.offers]
    # Large offers leave room for large texts where both fit.
    for others in (len(shown.texts) * (LEAST_LARGE + 1), len(below)):
        if large := _large(keys, inner, spare - others - 2, palette):
            offers = large
            break
    below = _large([("", text) for text in shown.texts], inner, spare - len(offers) - 2, palette) or below
    spare = room - len(word) - len(below) - len(offers) - len(notice)
    blank = [line([], inner, palette.ground)]
    if spare >= 2:
        below = [*blank, *below]
    if spare >= 1:
        below += blank
    body = [*word, *below, *offers]
    last = [text_line(text, inner, palette.alarm_ink, palette.alarm, bold=True) for text in notice]
    body = body[: max(0, room - len(last))]
    body += blank * (room - len(last) - len(body))
    (foot,) = foot_lines(shown.keys, inner, 1)
    lines = [*body, *last, text_line(foot, inner, palette.quiet, palette.panel)]
    if band:
        lines = beside([lines[: len(band)], band])
    return [_head(shown, width, palette), *lines][:height]


def _head(shown: AllDone, width: int, palette: Palette) -> Line:
    title = cut(shown.title, max(8, width - len(shown.done) - 4))
    gap = max(1, width - 2 - cells_of(title) - len(shown.done))
    text = f" {title}{' ' * gap}{shown.done} "
    return line([Span(text, palette.ink, palette.head, True)], width, palette.head)


def _word(word: str, width: int, height: int, palette: Palette) -> list[Line]:
    drawn = large_type.draw(word, width - 4, height) if height > 2 else None
    if drawn is None:
        return [text_line(word, width, palette.ink, palette.head, bold=True)]
    rows = [" " * ((width - len(drawn[0])) // 2) + row for row in drawn]
    return [line([Span(row, palette.ink, palette.ground, True)], width, palette.ground) for row in rows]


def _large(texts: Sequence[tuple[str, str]], width: int, room: int, palette: Palette) -> list[Line] | None:
    """Keys and texts in large type, a line between them, where there is room for all; a key may be empty."""
    for height in range(MOST_LARGE, LEAST_LARGE - 1, -1):
        keys = [large_type.draw(key, width // 3, height) or () for key, _ in texts]
        beside = max((len(key[0]) + 5 for key in keys if key), default=2)
        drawn = [large_type.draw(text, max(1, width - beside - 2), height) for _, text in texts]
        if len(texts) * (height + 1) > room or None in drawn:
            continue
        lines: list[Line] = []
        for key, rows in zip(keys, drawn, strict=True):
            for at in range(height):
                sign = f" {key[at]} " if at < len(key) else " " * (len(key[0]) + 2) if key else ""
                spans = [
                    Span(" ", palette.ink, palette.ground),
                    Span(sign, palette.ink, palette.head, True),
                    Span(" " * (beside - len(sign) - 1), palette.ink, palette.ground),
                    Span(rows[at] if rows and at < len(rows) else "", palette.ink, palette.ground, True),
                ]
                lines.append(line([span for span in spans if span.text], width, palette.ground))
            lines.append(line([], width, palette.ground))
        return lines
    return None


def _offers(offers: Sequence[Offer], width: int, palette: Palette) -> list[Line]:
    longest = max((len(offer.key) for offer in offers), default=0)
    return [
        line(
            [
                Span(f" {offer.key:>{longest}}", palette.ink, palette.ground, True),
                Span(f"  {cut(offer.says, max(1, width - longest - 4))}", palette.ink, palette.ground),
            ],
            width,
            palette.ground,
        )
        for offer in offers
    ]
