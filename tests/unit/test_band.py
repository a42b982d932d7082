"""The picture of the band so far: every tied knot in its place, in the colour of the string that made it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour, contrast
from benchmate.craft.design import Design
from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, whole_piece
from benchmate.display.band_so_far import MARGIN, draw, width_beside
from benchmate.display.cells import width_of
from benchmate.display.palette import DARK, LIGHT, Palette
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.piece_opening import Kept
from tests.charts import begun_bands, chart, seeded
from tests.screen.benches import begun, in_cells, written_to

A, B, C, D = "#e01010", "#10e010", "#1010e0", "#e0e010"
COLOURS = {name: Colour(name, value, name) for name, value in zip("abcd", (A, B, C, D), strict=True)}
GROUND = "#101315"
"""The dark ground, which has the best contrast to these four."""


def drawn_of(body: Diagonal, done: int, repeats: int = 1) -> tuple[Part, Progress]:
    """A band with its first `done` knots tied, row by row."""
    whole = whole_piece(Design("Trial", DIAGONAL, COLOURS, body, repeats=repeats), None, None)
    order = by_rows(whole)
    return whole.main, Progress.resume(whole, order, order.sequence[:done])


FOUR = chart("a b c d", "f b", "f", "fb bf", "b")
"""Row 1: a over b, d over c; then b a d c. Row 2: a over d; then b d a c. Row 3: b over d, c over a.

Row 4: a over d."""


def test_half_cells_show_each_knot_in_the_colour_of_its_knotting_string() -> None:
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


def test_a_wide_picture_uses_whole_cells() -> None:
    part, progress = drawn_of(FOUR, 3)
    cells = in_cells(draw(part, progress, None, 12, 4, DARK))
    assert [ground for _, _, ground in cells[0]] == [GROUND] * 2 + [A] * 4 + [D] * 4 + [GROUND] * 2
    assert [ground for _, _, ground in cells[1]] == [GROUND] * 4 + [A] * 4 + [GROUND] * 4
    assert [ground for _, _, ground in cells[2]] == [GROUND] * 12


@pytest.mark.parametrize("width", [8, 12])
def test_brackets_and_a_pointer_mark_the_step(width: int) -> None:
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
def test_a_mark_changes_only_its_own_cells(progress: Progress, width: int, done: bool) -> None:
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
    """The band of a piece under way, in a design with no two colours alike."""
    strings = progress.work.strings
    colours = {name: Colour(name, f"#{at * 7 + 3:02x}8040", name) for at, name in enumerate(sorted(set(strings)))}
    return Part("band", Design("Trial", DIAGONAL, colours, Diagonal(strings, ())), progress.work, 0)


def seen(row: list[tuple[str, str, str]]) -> list[tuple[str, str]]:
    """The visible colours of cells without letters: upper and lower half."""
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


def test_lines_stay_the_same_while_the_picture_scrolls() -> None:
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


def test_a_band_of_hundreds_of_strings_shows_the_part_around_the_mark(kept: Kept, tmp_path: Path) -> None:
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
            # Left of the mark are the knots before it, all a over b.
            assert inks[MARGIN:at] == [A] * (at - MARGIN)


@seeded
@given(begun_bands(), st.integers(0, 40), st.integers(1, 30), st.sampled_from([DARK, LIGHT]))
def test_the_picture_is_exactly_as_large_as_requested(
    progress: Progress, width: int, height: int, palette: Palette
) -> None:
    part = colourful(progress)
    for marked in (None, progress.next, progress.last):
        lines = draw(part, progress, marked, width, height, palette)
        assert [width_of(line) for line in lines] == [width] * height


@pytest.mark.parametrize("strings", [2, 6, 8, 12, 20, 40, 500])
def test_the_band_is_shown_only_where_there_is_room(strings: int) -> None:
    widths = [width_beside(strings, width, least=64, share=4) for width in range(40, 301)]
    assert widths[0] == 0
    for width, wide in zip(range(40, 301), widths, strict=True):
        assert wide == 0 or width - wide >= 64
        assert wide in (0, strings + 2 * MARGIN, 2 * strings + 2 * MARGIN)
    assert widths == sorted(widths)
    assert (widths[-1] > 0) == (strings < 100)


def test_an_untied_knot_in_the_middle_leaves_a_gap() -> None:
    part, progress = drawn_of(FOUR, 6)
    for number in progress.must_come_out(2):
        progress.untie(number)
    cells = in_cells(draw(part, progress, None, 8, 3, DARK))
    assert [(ink, ground) for _, ink, ground in cells[0]][MARGIN:-MARGIN] == [
        (A, GROUND), (A, GROUND), (D, GROUND), (D, GROUND)
    ]  # fmt: skip
    assert {ink for _, ink, _ in cells[1]} == {GROUND}


def test_the_ground_contrasts_with_all_threads() -> None:
    light, dark = "#fafafa", "#0a0a0a"
    for palette in (DARK, LIGHT):
        for threads, expected in (((light, light), min), ((dark, dark), max)):
            colours = {name: Colour(name, value, name) for name, value in zip("ab", threads, strict=True)}
            whole = whole_piece(Design("Trial", DIAGONAL, colours, chart("a b", "f")), None, None)
            progress = Progress(whole, by_rows(whole))
            ground = draw(whole.main, progress, None, 8, 1, palette)[0][0].ground
            assert ground == expected(palette.string_grounds, key=lambda colour: int(colour[1:3], 16))


def test_each_of_the_four_knots_has_the_colour_of_its_knotting_string() -> None:
    for knot in Knot:
        part, progress = drawn_of(chart("a b", knot.value), 1)
        ink = in_cells(draw(part, progress, None, 6, 1, DARK))[0][MARGIN][1]
        assert ink == (A if knot in (Knot.FORWARD, Knot.FORWARD_BACKWARD) else B)


def shown_with(
    threads: tuple[str, str], palette: Palette, width: int, done: int = 1
) -> list[list[tuple[str, str, str]]]:
    """The cells of a band of two strings in these colours, after its first knots."""
    colours = {name: Colour(name, value, name) for name, value in zip("ab", threads, strict=True)}
    whole = whole_piece(Design("Trial", DIAGONAL, colours, chart("a b b a", "f b", "f")), None, None)
    order = by_rows(whole)
    return in_cells(draw(whole.main, Progress.resume(whole, order, order.sequence[:done]), None, width, 4, palette))


@pytest.mark.parametrize(
    ("threads", "palette"),
    [(("#f6f4ee", "#0b3c5d"), LIGHT), (("#111416", "#f4f1de"), DARK), (("#7b8288", "#000000"), DARK)],
)
def test_a_thread_like_the_ground_has_an_edge_all_round(threads: tuple[str, str], palette: Palette) -> None:
    # Foam on white; deep on dark; grey where deep and foam both stand. The ground is forced, so that one is like it.
    forced = palette._replace(string_grounds=(threads[0],))
    cells = shown_with(threads, forced, 8)
    assert [cells[0][at][0] for at in (1, 2, 3, 4)] == ["▕", "─", "─", "▏"]
    cells = shown_with(threads, forced, 12)
    assert [cells[0][at][0] for at in (1, 6)] == ["▕", "▏"]
    assert [cells[1][at][0] for at in range(2, 6)] == ["▔"] * 4
    edges = {ink for row in cells for sign, ink, _ in row if sign in "▔▕▏▁"}
    assert all(contrast(ink, threads[0]) >= 3 for ink in edges)
    # No edge where there is no knot that is like the ground.
    assert all(sign == " " for row in cells[2:] for sign, _, _ in row)


def test_the_mark_of_the_knot_stands_out_from_every_colour() -> None:
    part, progress = drawn_of(FOUR, 1)
    for width in (8, 12):
        cells = in_cells(draw(part, progress, 1, width, 4, DARK))[0]
        mark = [cell for cell in cells if {cell[1], cell[2]} == {"#000000", "#ffffff"} and cell[0] in "[ ]"]
        assert {ground for _, _, ground in mark} == {"#000000", "#ffffff"}
        assert [sign for sign, _, _ in mark][:: len(mark) - 1] == ["[", "]"]


def test_knots_that_share_a_colour_differ_by_their_pattern() -> None:
    colours = {name: Colour(name, A, name, at) for at, name in enumerate("abcd")}
    whole = whole_piece(Design("Trial", DIAGONAL, colours, FOUR), None, None)
    order = by_rows(whole)
    progress = Progress.resume(whole, order, order.sequence)
    for width in (8, 12):
        cells = in_cells(draw(whole.main, progress, None, width, 8, DARK))
        scale = width // 4 - 1
        row = [[sign for sign, _, ground in cells[at] if ground == A] for at in (0, 2)]
        assert row == [[" "] * 2 * scale + ["▓"] * 2 * scale, ["░"] * 2 * scale + ["▒"] * 2 * scale]
