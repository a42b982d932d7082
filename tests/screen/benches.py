"""Designs for the tests, pieces begun on them, and ways to read a screen."""

import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.zones import compose as bench
from benchmate.bench.zones.view_values import View
from benchmate.design_files.load import load
from benchmate.display import large_type
from benchmate.display.cells import Line, Span
from benchmate.display.palette import Palette
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.store.errors import NotSaved

CHEVRON = """\
benchmate: 1
title: Heather on the moor
family: diagonal
colours: {plum: "#5d1a4a", straw: "#e8d48b", moss: {css: "#43602f", say: mossy green}}
strings: [plum, moss, straw, straw, moss, plum]
rows:
  - f f b
  - f b
  - f f b
  - f b
repeats: 3
"""
"""Six strings, 30 knots, no two steps in a row alike."""

FOUR_KNOTS = """\
benchmate: 1
title: Each of the four
family: diagonal
colours: {ink: "#14213d", sand: "#e5d3b3"}
strings: [ink, sand, sand, ink]
rows:
  - fb bf
  - f
  - b f
"""

STRIPE = """\
benchmate: 1
title: Jetty at noon
family: diagonal
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
strings: [deep, foam, foam, foam, foam, foam]
rows: [f - -, f -, "- f -", "- f", "- - f", "- -"]
repeats: 2
"""
"""Six strings, 10 knots, five in a row with one string."""

PICTURE = """\
benchmate: 1
title: Gulls in the wind
family: alpha
colours: {deep: "#0b3c5d", foam: "#f4f1de", rust: "#b5523b"}
base: deep
key: {".": deep, "#": foam, r: rust}
chart: |
  .##.r
  #..#.
  ##rr.
repeats: 2
"""
"""Five columns, 30 knots in six rows, of three colours."""

ROPE = """\
benchmate: 1
title: A rope for the bell
family: braid
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
slots: 32
strands: {32: deep, 1: deep, 8: foam, 9: foam, 16: deep, 17: deep, 24: foam, 25: foam}
moves: [1 > 15, 17 > 31, 9 > 23, 25 > 7]
shift: -1
repeats: 32
"""
"""The round braid of eight strands: 128 moves."""

WRITTEN = """\
benchmate: 1
title: A loop to begin with
family: steps
colours: {ink: "#14213d"}
strings: [ink]
steps:
  - do: Fold the string over a pin
    hint: Leave a loop as wide as a button
  - do: Twist
    times: 3
"""


def full(*_: object, **__: object) -> None:
    """Replaces a function that writes, on a full disk."""
    raise NotSaved("The disk is full.")


def written_to(folder: Path, text: str, name: str = "band.yaml") -> Path:
    """Writes a design to a file, and returns the file."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def begun(kept: Kept, file: Path, *, done: int = 0, repeats: int | None = None) -> OpenedPiece:
    """A piece begun on a file, held, with its first `done` steps tied one press at a time."""
    opening = openings.begin(kept, load(str(file)), openings.WorkingOptions(repeats=repeats), None)
    opening.held.hold()
    for number in opening.held.order.sequence[:done]:
        opening.held.tie([number])
    return opening


def text_of(lines: Iterable[Line]) -> str:
    """The lines as text, without colours."""
    return "\n".join("".join(span.text for span in line) for line in lines)


def in_cells(lines: Sequence[Line]) -> list[list[tuple[str, str, str]]]:
    """Every cell as its character, ink and ground; characters are all one cell wide."""
    return [[(sign, span.ink, span.ground) for span in line for sign in span.text] for line in lines]


def spans(lines: Iterable[Line]) -> list[Span]:
    """Every span of the lines."""
    return [span for line in lines for span in line]


class Large(NamedTuple):
    """A text in large type on the screen: the height of its capitals in half-cells, and where its rows begin."""

    text: str
    half_cells: int
    top: int
    left: int

    @property
    def cells(self) -> int:
        """The height of its capitals in whole cells, rounded down."""
        return self.half_cells // 2


def composed(
    view: View, width: int, height: int, palette: Palette, band: Sequence[Line] | None = None, keys: str = ""
) -> tuple[list[Line], list[Large]]:
    """The bench, and the texts in large type that really are on it: each that was drawn and is found, row under row."""
    lines, large, _ = _read(view, width, height, palette, band, keys)
    return lines, large


def legible(view: View, width: int, height: int, palette: Palette, keys: str = "") -> list[str]:
    """The text of the bench, line by line; a text in large type stands in its first line as if it were plain."""
    return _read(view, width, height, palette, None, keys)[2]


def _read(
    view: View, width: int, height: int, palette: Palette, band: Sequence[Line] | None, keys: str
) -> tuple[list[Line], list[Large], list[str]]:
    with drawings() as drawn:
        lines = bench.compose(view, width, height, palette, band, keys)
    large, rows = read(drawn, text_of(lines).split("\n"))
    return lines, large, rows


Drawings = dict[tuple[str, ...], tuple[str, int]]
"""Texts in large type as drawn, with the text and the height of its capitals in half-cells."""


@cache
def _drawn(
    real: Callable[..., tuple[str, ...] | None],
    text: str,
    columns: int,
    rows: int,
    align: large_type.Align,
    tallest: int | None,
) -> tuple[tuple[str, ...] | None, Drawings]:
    """What `draw` gives, and the drawings to look for on the screen: remembered, as most come hundreds of times."""
    found = real(text, columns, rows, align, tallest)
    if found is None:
        return None, {}
    high = large_type.half_cells_high(text, columns, rows, tallest)
    return found, {found: (text, high), large_type.lowered(found): (text, high)}


@cache
def _remembering(modules: Sequence[str]) -> list[Any]:
    """Every function of these modules that remembers its results."""
    parts = [part for name in modules for part in vars(sys.modules[name]).values()]
    return [part for part in parts if hasattr(part, "cache_clear")]


@contextmanager
def drawings() -> Iterator[Drawings]:
    """All that is drawn in large type meanwhile."""
    drawn: Drawings = {}
    real = large_type.draw

    def draw(
        text: str, columns: int, rows: int, align: large_type.Align = "left", tallest: int | None = None
    ) -> tuple[str, ...] | None:
        found, also = _drawn(real, text, columns, rows, align, tallest)
        drawn.update(also)
        return found

    for part in _remembering(tuple(name for name in sys.modules if name.startswith("benchmate.bench."))):
        part.cache_clear()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(large_type, "draw", draw)
        yield drawn


def read(drawn: Drawings, lines: Sequence[str]) -> tuple[list[Large], list[str]]:
    """The texts in large type that stand in the lines, and the lines with each as if it were plain."""
    rows, large = list(lines), []
    # A short text may stand within a longer one, which is taken out first.
    for glyphs in sorted(drawn, key=lambda glyphs: -sum(map(len, glyphs))):
        text, high = drawn[glyphs]
        while (place := _place_of(rows, glyphs)) is not None:
            top, left = place
            large.append(Large(text, high, top, left))
            for down, glyph in enumerate(glyphs):
                written = text if down == 0 else ""
                row = rows[top + down]
                rows[top + down] = row[:left] + written.ljust(len(glyph)) + row[left + len(glyph) :]
    return large, rows


def stands(rows: Sequence[str], glyphs: Sequence[str]) -> bool:
    """Whether a text drawn in large type stands somewhere on the screen."""
    return _place_of(rows, glyphs) is not None


def _place_of(rows: Sequence[str], glyphs: Sequence[str]) -> tuple[int, int] | None:
    """The first row and column at which the rows of glyphs are found, one under the other."""
    bare = [glyph.rstrip() for glyph in glyphs]
    inked = next(down for down, glyph in enumerate(bare) if glyph)
    for top in range(inked, len(rows) - len(bare) + inked + 1):
        for left in _places(rows[top], bare[inked]):
            if all(rows[top - inked + down][left:].startswith(glyph) for down, glyph in enumerate(bare)):
                return top - inked, left
    return None


def _places(row: str, text: str) -> Iterator[int]:
    at = row.find(text)
    while at >= 0:
        yield at
        at = row.find(text, at + 1)
