"""Large type: its letters, their spacing, and the box they are fitted into."""

import subprocess
import sys
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.display import large_type, letterforms
from benchmate.display.large_type import TIED, can_draw, capital_height, draw
from tests.charts import seeded

CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DIGITS = "0123456789"
POINTS = "-.,':;!?/+&()[]<>%→←"
EVERY = CAPITALS + DIGITS + POINTS

SIZES = [
    (w, h)
    for h in (*range(5, 15), 16, 18, 28, 57)
    for w in range(max(-(-4 * h // 5), 4 if h == 5 else 6), int(1.43 * h) + 1, 1 + h // 20)
]
"""Widths and heights of a standard capital, in half-cells: all up to 7 cells high, and some above."""

texts = st.text(alphabet=EVERY.lower() + EVERY + "  - ", max_size=40)
columns_ = st.integers(0, 220)
rows_ = st.integers(0, 50)


def half_cells(lines: tuple[str, ...]) -> list[str]:
    """The drawing as rows of `#` and `.`, one character for each half-cell."""
    page = []
    for line in lines:
        codes = [" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█".index(cell) for cell in line]
        page.append("".join("#" if code >> bit & 1 else "." for code in codes for bit in (0, 1)))
        page.append("".join("#" if code >> bit & 1 else "." for code in codes for bit in (2, 3)))
    return page


def half_cells_high(text: str, columns: int, rows: int) -> int:
    """Height of the capitals in half-cells, 0 when nothing is drawn."""
    found = large_type._fit(text, columns, rows)
    return found[0].h if found else 0


SIDES = [(0, -1), (-1, 0), (1, 0), (0, 1)]
CORNERS = [(-1, -1), (1, -1), (-1, 1), (1, 1)]


def pieces(rows: tuple[int, ...], joined: list[tuple[int, int]]) -> int:
    """The number of separate pieces of set bits; bits a `joined` step apart belong together."""
    left = {(x, y) for y, row in enumerate(rows) for x in range(row.bit_length()) if row >> x & 1}
    count = 0
    while left:
        count += 1
        reached = [left.pop()]
        while reached:
            x, y = reached.pop()
            near = {(x + dx, y + dy) for dx, dy in joined} & left
            left -= near
            reached.extend(near)
    return count


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_every_letter_is_unique_and_full_height_at_every_size(size: tuple[int, int]) -> None:
    forms = {letter: letterforms.form(letter, *size) for letter in EVERY}
    assert len(set(forms.values())) == len(EVERY)
    for letter, (width, rows) in forms.items():
        inked = 0
        for row in rows:
            inked |= row
        assert len(rows) == size[1], letter
        assert 0 < inked < 1 << width, letter
        if letter in CAPITALS + DIGITS:
            assert inked & 1, f"{letter} has white on its left"
            assert inked >> width - 1, f"{letter} has white on its right"
            assert rows[0], f"{letter} is not as tall as the others"
            assert rows[-1], f"{letter} does not stand on the line"


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_no_letter_falls_apart(size: tuple[int, int]) -> None:
    for letter in CAPITALS + DIGITS.replace("0", "") + "-.,'/+&()[]<>→←":
        assert pieces(letterforms.form(letter, *size)[1], SIDES + CORNERS) == 1, letter
    for letter in ":;!?":
        assert pieces(letterforms.form(letter, *size)[1], SIDES + CORNERS) == 2, letter


LOOK_ALIKES = "RB RA RP DO D0 O0 FE CG KX WM G6 B8 S5 Z2 I1 UV VY OQ 38 69 17 [( ]) <( →← <>"


@pytest.mark.parametrize("pair", LOOK_ALIKES.split())
def test_look_alikes_differ_in_more_than_width(pair: str) -> None:
    for size in SIZES:
        (_, one), (_, other) = (letterforms.form(letter, *size) for letter in pair)
        apart = sum((a ^ b).bit_count() for a, b in zip(one, other, strict=True))
        assert apart >= max(2, size[0] * size[1] // 50), size


@pytest.mark.parametrize("letter", "ABDOPQR04689")
def test_closed_letters_keep_their_counters_open(letter: str) -> None:
    for size in SIZES:
        width, rows = letterforms.form(letter, *size)
        around = (1 << width + 2) - 1
        white = pieces((around, *(around ^ row << 1 for row in rows), around), SIDES)
        open_four = letter == "4" and size[1] < 9
        counters = 0 if open_four else 2 if letter in "B8" else 1
        assert white >= 1 + counters, size


@pytest.mark.parametrize("size", [(4, 5), (6, 5), (8, 8), (11, 8), (15, 16), (18, 16), (40, 50)])
def test_letters_never_touch(size: tuple[int, int]) -> None:
    measure = large_type._TypeSize(*size)
    for left, right in product(EVERY, repeat=2):
        width, before = letterforms.form(left, *size)
        _, after = letterforms.form(right, *size)
        start = width + measure.gap - large_type._kerning(left, right, *size)
        for y, row in enumerate(before):
            for near in after[max(0, y - 1) : y + 2]:
                if row and near:
                    first = start + (near & -near).bit_length() - 1
                    assert first - row.bit_length() >= measure.gap, left + right


def test_kerning_needs_white_space() -> None:
    assert large_type._kerning("W", "A", 18, 16) > 0
    assert large_type._kerning("L", "T", 18, 16) > 0
    assert large_type._kerning("H", "N", 18, 16) == 0


@seeded
@given(texts, columns_, rows_, st.sampled_from(["left", "centre"]))
def test_a_drawing_stays_in_its_box(text: str, columns: int, rows: int, align: str) -> None:
    lines = draw(text, columns, rows, align)
    if lines is None:
        assert capital_height(text, columns, rows) == 0
        return
    assert len(lines) <= rows
    assert {len(line) for line in lines} == {len(lines[0])}
    assert len(lines[0]) <= columns
    assert set("".join(lines)) <= set(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")
    assert any(line[0] != " " for line in lines)
    assert any(line[-1] != " " for line in lines)
    assert 2 <= capital_height(text, columns, rows) <= len(lines)


@seeded
@given(texts, columns_, rows_, st.integers(0, 20), st.integers(0, 60))
def test_more_room_never_gives_smaller_type(text: str, columns: int, rows: int, up: int, along: int) -> None:
    assert half_cells_high(text, columns, rows + up) >= half_cells_high(text, columns, rows)
    assert half_cells_high(text, columns + along, rows) >= half_cells_high(text, columns, rows)


@seeded
@given(texts, columns_, rows_)
def test_a_word_is_never_broken(text: str, columns: int, rows: int) -> None:
    found = large_type._fit(text, columns, rows)
    if found is None:
        return
    _, lines = found
    at = 0
    words = " ".join(text.split()).upper()
    for line in lines:
        assert words.startswith(line, at)
        at += len(line)
        assert words[at - 1] == "-" or words[at : at + 1] in {" ", ""}
        at += words[at : at + 1] == " "
    assert at == len(words)


@seeded
@given(texts, columns_, rows_)
def test_proportions_stay_natural(text: str, columns: int, rows: int) -> None:
    found = large_type._fit(text, columns, rows)
    if found is not None:
        size, _ = found
        assert 0.8 <= size.w / size.h <= 1.43
        if size.w > 5:
            assert 1 / 9 < size.v / (2 * size.h) < 1 / 4


@pytest.mark.parametrize("text", ["FORWARD-BACKWARD", "UNDO FORWARD", "3 OVER 4", "TURN IT OVER", "A-B-C DE"])
@pytest.mark.parametrize("box", [(38, 6), (78, 9), (60, 14), (30, 30), (118, 14), (198, 30), (12, 40)])
def test_no_other_line_break_gives_taller_capitals(text: str, box: tuple[int, int]) -> None:
    columns, rows = box
    parts = large_type._parts(text)
    best = 0
    for breaks in product([False, True], repeat=len(parts) - 1):
        lines = [parts[0][0]]
        for broken, (part, spaced) in zip(breaks, parts[1:], strict=True):
            if broken:
                lines.append(part)
            else:
                lines[-1] += " " * spaced + part
        for h in range(2 * rows, best, -1):
            size = large_type._TypeSize(max(-(-4 * h // 5), 4 if h == 5 else 6), h)
            spaces = [size.space * line.count(" ") for line in lines]
            words = [sum(size.width(word) for word in line.split()) for line in lines]
            wide = max(map(sum, zip(words, spaces, strict=True)))
            tall = len(lines) * h + (len(lines) - 1) * max(1, h // 6)
            if h >= 5 and wide <= 2 * columns and tall <= 2 * rows:
                best = h
                break
    assert half_cells_high(text, columns, rows) == best


@pytest.mark.parametrize(
    ("text", "columns", "rows", "cells"),
    [
        ("FORWARD", 78, 8, 8),
        ("FORWARD", 38, 6, 5),
        ("FORWARD", 118, 14, 14),
        ("FORWARD", 198, 30, 29),
        ("FORWARD-BACKWARD", 78, 9, 4),
        ("FORWARD-BACKWARD", 118, 14, 6),
        ("FORWARD-BACKWARD", 198, 30, 14),
        ("17 → 31", 38, 6, 6),
        ("FORWARD", 9, 30, 0),
        ("FORWARD", 78, 2, 0),
    ],
)
def test_capital_heights(text: str, columns: int, rows: int, cells: int) -> None:
    assert capital_height(text, columns, rows) == cells
    assert (draw(text, columns, rows) is None) == (cells == 0)


def test_two_lines_have_a_gap_between_them() -> None:
    lines = draw("FORWARD-BACKWARD", 78, 9)
    assert lines is not None
    page = half_cells(lines)
    blank = [y for y, row in enumerate(page) if "#" not in row]
    assert blank == [8, 9]


def test_lines_are_aligned_left_or_centred() -> None:
    left, centre = draw("FORWARD-BACKWARD", 78, 9), draw("FORWARD-BACKWARD", 78, 9, "centre")
    assert left is not None
    assert centre is not None
    assert left != centre
    first = half_cells(left)[:8]
    middle = half_cells(centre)[:8]
    moved = {row.index("#") - plain.index("#") for row, plain in zip(middle, first, strict=True)}
    ink = max(row.rindex("#") for row in first) + 1
    assert moved == {(len(first[0]) - ink) // 2}


def test_lines_are_balanced() -> None:
    found = large_type._fit("ONE TWO SIX TEN", 30, 9)
    assert found is not None
    assert found[1] == ["ONE TWO", "SIX TEN"]


def test_a_stem_is_a_solid_block() -> None:
    lines = draw("I", 78, 8)
    assert lines is not None
    assert half_cells(lines) == ["#######."] * 16


def test_lower_case_and_the_curly_apostrophe_are_drawn() -> None:
    assert can_draw("Don\u2019t stop, 17 → 31")
    assert draw("don\u2019t", 78, 8) == draw("DON'T", 78, 8)


@pytest.mark.parametrize("text", ["É", "漢", "A\nB", "A\tB", "{B}", "A\x1b[0m", "ß", "A\u2009B", "▀", "٣"])
def test_a_character_without_a_form_is_refused(text: str) -> None:
    assert not can_draw(text)
    assert draw(text, 200, 60) is None
    assert capital_height(text, 200, 60) == 0


@pytest.mark.parametrize("text", ["", " ", "   "])
def test_nothing_to_draw(text: str) -> None:
    assert can_draw(text)
    assert draw(text, 200, 60) is None


def test_text_splits_at_spaces_and_after_hyphens() -> None:
    assert large_type._parts("FORWARD-BACKWARD  AB -5 C--D -") == [
        ("FORWARD-", True),
        ("BACKWARD", False),
        ("AB", True),
        ("-5", True),
        ("C--", True),
        ("D", False),
        ("-", True),
    ]


def test_the_letters_are_drawn_without_a_screen() -> None:
    check = (
        "import sys; import benchmate.display.large_type; "
        "sys.exit(bool({'textual', 'rich', 'PIL'} & {name.partition('.')[0] for name in sys.modules}))"
    )
    assert subprocess.run([sys.executable, "-c", check], check=False).returncode == 0


def test_no_line_breaks_at_a_tied_space() -> None:
    free, tied = "RAIL 2 M 20 CM", f"RAIL 2{TIED}M{TIED}20{TIED}CM"
    assert draw(free, 200, 8) == draw(tied, 200, 8)
    assert draw(free, 18, 12) is not None
    assert draw(tied, 18, 12) is None, "the four words have no room on one line"
    assert draw(TIED, 38, 6) is None
