"""CSV text as cells with their places, compared with Python's own reader; formulas stay text both ways."""

import csv
import io

import pytest
from hypothesis import assume, given
from hypothesis import strategies as some

from benchmate.files.csv_cells import Cell, as_text, from_text, read_cells

CELLS = some.text(some.sampled_from("ab,\"'=+-@ \t;ä\U0001f9f5") | some.characters(codec="utf-8"), max_size=8)
"""Cells of any text, with many of the signs that matter."""
TABLES = some.lists(some.lists(CELLS, min_size=1, max_size=4), max_size=4)


def texts(text: str) -> list[list[str]]:
    """The texts of all cells of a text without problems."""
    rows, problems = read_cells(text)
    assert problems == []
    return [[cell.text for cell in row] for row in rows]


@given(
    TABLES, some.sampled_from(["\r\n", "\n"]), some.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]), some.booleans()
)
def test_what_pythons_writer_wrote_is_read(table: list[list[str]], end: str, quoting: int, mark: bool) -> None:
    # Ending lines with LF, it does not quote a carriage return.
    assume(end == "\r\n" or quoting == csv.QUOTE_ALL or not any("\r" in cell for row in table for cell in row))
    text = io.StringIO()
    writer = csv.writer(text, lineterminator=end, quoting=quoting)  # type: ignore[arg-type]
    writer.writerows(table)
    expected = [row for row in table if any(row)]
    assert texts(("\ufeff" if mark else "") + text.getvalue()) == expected


@given(some.text(some.sampled_from('a,"\n'), max_size=12))
def test_a_text_without_problems_is_read_as_by_pythons_reader(text: str) -> None:
    rows, problems = read_cells(text)
    if not problems:
        expected = [row for row in csv.reader(io.StringIO(text, newline=""), strict=True) if any(row)]
        assert [[cell.text for cell in row] for row in rows] == expected


@given(some.text(some.sampled_from('a,"\r\nä'), max_size=30) | some.text(max_size=30))
def test_every_cell_has_the_place_where_it_begins(text: str) -> None:
    rows, problems = read_cells(text)
    lines = text.removeprefix("\ufeff").split("\n")
    for cell in [cell for row in rows for cell in row]:
        before = lines[cell.line - 1][: cell.column - 1]
        assert len(before) == cell.column - 1
        assert cell.text[:1] in ("", '"', "\n", "\r") or lines[cell.line - 1][cell.column - 1] in (cell.text[0], '"')
    assert [problem[:2] for problem in problems] == sorted(problem[:2] for problem in problems)
    assert all(problem.line <= len(lines) for problem in problems)


@pytest.mark.parametrize(
    ("text", "problems"),
    [
        ('a,b"c\n', [(1, 4, "a cell with a quote in it must be in quotes")]),
        ('a,"b"c\nd"', [(1, 6, "a comma or the end of the line must follow"), (2, 2, "a cell with a quote in it")]),
        ('a,"b\nc', [(1, 3, "this quote is not closed")]),
        ("a\rb\n", [(1, 2, "a carriage return alone does not end a line")]),
        ('a\r\n"b\r\nc",d"\r\n', [(3, 5, "a cell with a quote in it")]),
        ("", []),
    ],
)
def test_what_is_no_csv_is_said_with_its_place(text: str, problems: list[tuple[int, int, str]]) -> None:
    _, found = read_cells(text)
    assert [problem[:2] for problem in found] == [problem[:2] for problem in problems]
    assert all(one.message.startswith(begins) for one, (*_, begins) in zip(found, problems, strict=True))


def test_a_cell_over_several_lines_does_not_move_the_next_ones() -> None:
    rows, _ = read_cells('\ufeffa,"b\n""c"\r\n\r\n,\nd,e')
    assert rows == [[Cell("a", 1, 1), Cell('b\n"c', 1, 3)], [Cell("d", 5, 1), Cell("e", 5, 3)]]


@given(CELLS)
def test_a_formula_stays_text_and_comes_back(cell: str) -> None:
    written = as_text(cell)
    assert written[:1] not in tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
    assert from_text(written) == cell
    assert written in (cell, f"'{cell}")


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-5", "@SUM", "\t=1", "\r=1", "\uff1d1", "'=1", "''=1"])
def test_what_a_spreadsheet_would_work_out_gets_an_apostrophe(cell: str) -> None:
    assert as_text(cell) == f"'{cell}"
    assert from_text(f"'{cell}") == cell


@pytest.mark.parametrize("cell", ["", "a=1", "'tis", "''", "'", " =1", "#0b3c5d", "8000.0", "1.20"])
def test_other_cells_stay_as_they_are(cell: str) -> None:
    assert as_text(cell) == from_text(cell) == cell


def test_a_long_line_takes_no_longer_than_its_length() -> None:
    # Counting columns from the start of the line each time would take minutes.
    rows, problems = read_cells('"",' * 100_000 + "a")
    assert (len(rows[0]), problems, rows[0][-1]) == (100_001, [], Cell("a", 1, 300_001))
