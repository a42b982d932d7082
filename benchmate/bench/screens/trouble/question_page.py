"""A question about the band: its words in large type, more of it in lines, and the band beside them."""

from collections.abc import Iterable, Sequence

from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.trouble.lettered_band import Band, draw_band, width_wanted
from benchmate.bench.zones.large_field import large
from benchmate.display.cells import Line, beside, clip, clipped, line, text_line, wrap
from benchmate.display.palette import Palette
from benchmate.piece_questions.trouble.hanging_colours import NOTHING, UNKNOWN

SPOKEN = {NOTHING: "minus", UNKNOWN: "question mark"}
"""The keys that have no sound of their own."""
NARROW = 60
"""Under so many cells the band gets at most a third of the width, else two fifths."""


def answers_heard(answers: Iterable[tuple[str, str]]) -> list[str]:
    """Answers by ear, each with its key: `d: deep`, `minus: no knot`."""
    return [f"{SPOKEN.get(key, key)}: {words}" for key, words in answers]


def keys_heard(keys: Sequence[str]) -> list[str]:
    """What the keys do, by ear."""
    return [key.replace("/", " or ") for key in keys]


def question_page(
    question: str,
    answers: Sequence[str],
    texts: Sequence[str],
    foot: Sequence[str],
    band: Band | None,
    width: int,
    height: int,
    palette: Palette,
) -> list[Line]:
    """Exactly `height` lines. `answers` stand in bold letters below the question, then the texts, and the keys last.

    Where not everything fits, texts are left out first, the last one first; then the band. The keys are always there.
    """
    ink, quiet, ground, panel = palette.ink, palette.quiet, palette.ground, palette.panel
    feet = [text_line(text, width, quiet, panel) for text in foot_lines(foot, width, max(1, height // 3)) if text]
    height -= len(feet)
    wide, told = _answers_beside(answers, band, width, height)
    drawn = draw_band(band, wide, height, palette) if band is not None and wide else []
    width -= wide
    bold = [text_line(part, width, ink, ground, bold=True) for part in told]
    room = max(0, height - len(bold) - max(2, height // 3))
    rest = [text_line(part, width, ink, ground) for part in _whole(texts, max(1, width - 2), room)]
    below = [*bold, *rest][: max(0, height - 1)]
    field = large(question, width, max(1, height - len(below)), palette.field)
    lines = [*field, *below][:height]
    lines += [line([], width, ground)] * (height - len(lines))
    return [*(beside([lines, drawn]) if drawn else lines), *feet]


def _whole(texts: Sequence[str], width: int, room: int) -> list[str]:
    """The lines of the texts that fit; only of the first one a part, where it is longer than all there is room for."""
    lines: list[str] = []
    for text in texts:
        parts = clipped(text, width, room)
        if lines and len(lines) + len(parts) > room:
            break
        lines += parts
    return lines[:room]


def _answers_beside(answers: Sequence[str], band: Band | None, width: int, height: int) -> tuple[int, Sequence[str]]:
    """How wide the band is drawn, and the lines of the answers beside it: not at all where they need its room."""
    wide = 0
    if band is not None:
        wide = width_wanted(band.piece, width // 3 if width < NARROW else 2 * width // 5)
    room = max(1, height - 2)
    for taken in (wide, 0):
        told = [part for text in answers for part in wrap(text, max(1, width - taken - 2))]
        if len(told) <= room:
            return taken, told
    return 0, clip(told, room, max(1, width - 2))
