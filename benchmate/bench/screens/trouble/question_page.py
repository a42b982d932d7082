"""A question about the band: its words in large type, more of it in lines, and the band beside them."""

from collections.abc import Iterable, Sequence

from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.trouble.lettered_band import Band, draw_band, width_wanted
from benchmate.bench.zones.large_field import large
from benchmate.display.cells import Line, beside, clipped, line, text_line
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

    Where not everything fits, texts are left out first, the last one first; then the band.
    """
    drawn: list[Line] = []
    if band is not None:
        wide = width_wanted(band.piece, width // 3 if width < NARROW else 2 * width // 5)
        drawn = draw_band(band, wide, height, palette)
        width -= wide
    ink, quiet, ground, panel = palette.ink, palette.quiet, palette.ground, palette.panel
    feet = [text_line(text, width, quiet, panel) for text in foot_lines(foot, width, max(1, height // 5)) if text]
    told = [
        text_line(part, width, ink, ground, bold=True)
        for text in answers
        for part in clipped(text, max(1, width - 2), max(1, height // 4))
    ]
    room, most = height - len(feet) - len(told) - max(2, height // 3), max(3, height // 3)
    rest = [text_line(part, width, ink, ground) for text in texts for part in clipped(text, max(1, width - 2), most)]
    below = [*told, *rest[: max(0, room)]]
    field = large(question, width, max(1, height - len(below) - len(feet)), palette.field)
    lines = [*field, *below, *feet][:height]
    lines += [line([], width, ground)] * (height - len(lines))
    return beside([lines, drawn]) if drawn else lines
