"""The picture of the band so far: every tied knot where it sits, in the colour of the string that made it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, whole_piece
from benchmate.display.band_so_far import MARGIN, draw, width_beside
from benchmate.display.cells import width_of
from benchmate.display.palette import DARK, LIGHT, STRING_GROUNDS, Palette
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.piece_opening import Kept
from tests.charts import begun_bands, chart, seeded
from tests.screen.benches import begun, in_cells, written_to

A, B, C, D = "#e01010", "#10e010", "#1010e0", "#e0e010"
COLOURS = {name: Colour(name, value, name) for name, value in zip("abcd", (A, B, C, D), strict=True)}
GROUND = "#101315"
"""The dark one of the grounds, before which these four stand out best."""


def drawn_of(body: Diagonal, done: int, repeats: int = 1) -> tuple[Part, Progress]:
    """A band of which the first `done` knots are tied, row by row."""
    whole = whole_piece(Design("Trial", DIAGONAL, COLOURS, body, repeats=repeats), None, None)
    order = by_rows(whole)
    return whole.main, Progress.resume(whole, order, order.sequence[:done])


FOUR = chart("a b c d", "f b", "f", "fb bf", "b")
"""Row 1: a over b, d over c; then b a d c. Row 2: a over d; then b d a c. Row 3: b over d, c over a.

Row 4: a over d."""


def test_half_cells_show_a_knot_each_in_its_makers_colour() -> None:
    part, progress = drawn_of(FOUR, 6)
    cells = in_cells(draw(part, progress, None, 8, 3, DARK))
    none = (" ", GROUND, GROUND)
    assert cells[0] == [
        *[none] * MARGIN,
        ("▀", A, GROUND),
        ("▀", A, A),
        ("▀", D, A),
        ("▀", D, GROUND),
        *[none] * MARGIN,
    ]
    assert cells[1] == [
        *[none] * MARGIN,
        ("▀", B, GROUND),
        ("▀", B, A),
        ("▀", C, A),
        ("▀", C, GROUND),
        *[none] * MARGIN,
    ]
    assert {ground for _, _, ground in cells[2]} | {ink for _, ink, _ in cells[2]} == {GROUND}


def test_whole_cells_where_there_is_room() -> None:
    part, progress = drawn_of(FOUR, 3)
    cells = in_cells(draw(part, progress, None, 12, 4, DARK))
    assert [ground for _, _, ground in cells[0]] == [GROUND] * 2 + [A] * 4 + [D] * 4 + [GROUND] * 2
    assert [ground for _, _, ground in cells[1]] == [GROUND] * 4 + [A] * 4 + [GROUND] * 4
    assert [ground for _, _, ground in cells[2]] == [GROUND] * 12


@pytest.mark.parametrize("width", [8, 12])
def test_the_place_of_the_step_is_marked_by_shape(width: int) -> None:
    part, progress = drawn_of(FOUR, 1)
    cells = in_cells(draw(part, progress, 1, width, 4, DARK))
    text = ["".join(sign for sign, _, _ in row) for row in cells]
    scale = (width - 2 * MARGIN) // 4
    left = MARGIN + 2 * scale
    assert text[0][0] == ">"
    assert text[0][left] == "["
    assert text[0][left + 2 * scale - 1] == "]"
    assert not any(sign in row for row in text[1:] for sign in ">[]")


@seeded
@given(begun_bands(), st.integers(12, 40), st.booleans())
def test_a_mark_changes_nothing_but_its_place(progress: Progress, width: int, done: bool) -> None:
    part = colourful(progress)
    steps = [number for number in range(progress.work.size) if progress.is_tied(number) == done]
    if not steps:
        return
    height = progress.work.rows + 2
    plain = in_cells(draw(part, progress, None, width, height, DARK))
    marked = in_cells(draw(part, progress, steps[-1], width, height, DARK))
    (at,) = (index for index, row in enumerate(marked) if row[0][0] == ">")
    place = [index for index, (sign, _, _) in enumerate(marked[at]) if sign in "[]"]
    for index, (mine, bare) in enumerate(zip(map(seen, marked), map(seen, plain), strict=True)):
        if index == at:
            mine[0] = bare[0]
            mine[place[0] : place[-1] + 1] = bare[place[0] : place[-1] + 1]
        assert mine == bare


def colourful(progress: Progress) -> Part:
    """The band of a piece under way, as part of a design in which no two colours are the same."""
    strings = progress.work.strings
    colours = {name: Colour(name, f"#{at * 7 + 3:02x}8040", name) for at, name in enumerate(sorted(set(strings)))}
    return Part("band", Design("Trial", DIAGONAL, colours, Diagonal(strings, ())), progress.work, 0)


def seen(row: list[tuple[str, str, str]]) -> list[tuple[str, str]]:
    """What is seen of cells without letters: the colours of their upper and their lower halves."""
    return [(ink if sign == "▀" else ground, ground) for sign, ink, ground in row]


@pytest.mark.parametrize("done", range(25))
def test_the_step_is_always_in_the_picture(done: int) -> None:
    part, progress = drawn_of(FOUR, done, repeats=4)
    number = progress.next
    for height in (1, 2, 3, 5, 8):
        for width in (8, 12):
            lines = draw(part, progress, number, width, height, DARK)
            text = ["".join(span.text for span in line) for line in lines]
            assert len(text) == height
            assert sum(">" in row and "[" in row for row in text) == (number is not None)


def test_lines_stay_as_they_are_while_the_picture_moves_on() -> None:
    body = chart("a b c d", "f b", "f")
    seen_lines = set()
    for done in range(40, 61):
        part, progress = drawn_of(body, done, repeats=20)
        seen_lines |= {line for line in draw(part, progress, progress.next, 8, 10, DARK) if line[0].text[0] != ">"}
    assert len(seen_lines) < 12


def test_only_rows_around_the_step_are_shown() -> None:
    part, progress = drawn_of(chart("a b c d", "f b", "f"), 300, repeats=100)
    lines = draw(part, progress, 299, 8, 10, DARK)
    cells = in_cells(lines)
    assert len(lines) == 10
    assert [row[0][0] for row in cells].index(">") > 5


def test_a_window_for_hundreds_of_strings(kept: Kept, tmp_path: Path) -> None:
    count = 500
    text = (
        "benchmate: 1\ntitle: Wide\nfamily: diagonal\ncolours: {a: '#e01010', b: '#10e010'}\n"
        f"strings: [{', '.join('ab' * (count // 2))}]\nrows: ['f*{count // 2}', 'b*{count // 2 - 1}']\n"
    )
    held = begun(kept, written_to(tmp_path, text)).held
    held.tie(held.progress.rest_of_row())
    for left in (1, 2, 100, 251, count - 1):
        row = 1 + (left + 1) % 2
        first, _ = held.whole.span(row)
        number = first + (left - 1) // 2
        lines = draw(held.whole.main, held.progress, number, 40, 6, DARK)
        assert [width_of(line) for line in lines] == [40] * 6
        text_rows = ["".join(span.text for span in line) for line in lines]
        assert text_rows[0].startswith(">")
        at = text_rows[0].index("[")
        inks = [ink for _, ink, _ in in_cells(lines)[0]]
        if row == 1 and at > MARGIN:
            # To the left of the mark are the knots before it: a over b, whatever window is shown.
            assert inks[MARGIN:at] == [A] * (at - MARGIN)


@seeded
@given(begun_bands(), st.integers(0, 40), st.integers(1, 30), st.sampled_from([DARK, LIGHT]))
def test_the_picture_is_exactly_as_large_as_asked(
    progress: Progress, width: int, height: int, palette: Palette
) -> None:
    part = colourful(progress)
    for marked in (None, progress.next, progress.last):
        lines = draw(part, progress, marked, width, height, palette)
        assert [width_of(line) for line in lines] == [width] * height


@pytest.mark.parametrize("strings", [2, 6, 8, 12, 20, 40, 500])
def test_the_band_stands_beside_only_where_there_is_room(strings: int) -> None:
    widths = [width_beside(strings, width, least=64, share=4) for width in range(40, 301)]
    assert widths[0] == 0
    for width, wide in zip(range(40, 301), widths, strict=True):
        assert wide == 0 or width - wide >= 64
        assert wide in (0, strings + 2 * MARGIN, 2 * strings + 2 * MARGIN)
    assert widths == sorted(widths)
    assert (widths[-1] > 0) == (strings < 100)


def test_a_knot_out_in_the_middle_is_a_gap() -> None:
    part, progress = drawn_of(FOUR, 6)
    for number in progress.must_come_out(2):
        progress.untie(number)
    cells = in_cells(draw(part, progress, None, 8, 3, DARK))
    assert [(ink, ground) for _, ink, ground in cells[0]][MARGIN:-MARGIN] == [
        (A, GROUND), (A, GROUND), (D, GROUND), (D, GROUND)
    ]  # fmt: skip
    assert {ink for _, ink, _ in cells[1]} == {GROUND}


def test_the_ground_is_one_all_threads_stand_out_on() -> None:
    light, dark = "#fafafa", "#0a0a0a"
    for palette in (DARK, LIGHT):
        for threads, expected in (((light, light), min), ((dark, dark), max)):
            colours = {name: Colour(name, value, name) for name, value in zip("ab", threads, strict=True)}
            whole = whole_piece(Design("Trial", DIAGONAL, colours, chart("a b", "f")), None, None)
            progress = Progress(whole, by_rows(whole))
            ground = draw(whole.main, progress, None, 8, 1, palette)[0][0].ground
            assert ground == expected(STRING_GROUNDS[palette], key=lambda colour: int(colour[1:3], 16))


def test_knots_are_drawn_for_all_four() -> None:
    for knot in Knot:
        part, progress = drawn_of(chart("a b", knot.value), 1)
        ink = in_cells(draw(part, progress, None, 6, 1, DARK))[0][MARGIN][1]
        assert ink == (A if knot in (Knot.FORWARD, Knot.FORWARD_BACKWARD) else B)
