"""The box as a CSV file (RFC 4180), for spreadsheets and to other machines.

A cell that a spreadsheet would take for a formula stays text both ways.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import partial
from typing import cast

from benchmate.craft.thread.box_thread import MOST_THREADS, BoxThread
from benchmate.files.csv_cells import Cell, as_text, from_text, read_cells
from benchmate.files.safe_text import nearest, quoted, shown
from benchmate.files.tree import BadFile, Problem, read_text
from benchmate.store.thread.typed_thread import NEEDED, READERS, Unfit, colour_of

MOST_COLUMNS = 50
"""The most columns of a file; more are no file of threads."""
MOST_GUESSES = 100
"""The most problems of a file after which the nearest colour is still looked for."""


def written(threads: Iterable[BoxThread]) -> bytes:
    """The content of a file with these threads, without characters that could control a terminal."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(READERS)
    for thread in threads:
        price = "" if thread.price is None else str(thread.price)
        name, kind = as_text(shown(thread.name)), as_text(shown(thread.kind))
        writer.writerow([name, thread.colour, kind, f"{thread.mm:.1f}", "yes" if thread.whole else "no", price])
    return text.getvalue().encode()


def read(name: str) -> list[BoxThread]:
    """The threads in a file, without numbers. Raises BadFile with every problem in it."""
    rows, problems = read_cells(read_text(name))
    threads: list[BoxThread] = []
    if not rows:
        problems.append(Problem(1, 1, f"the file is empty; its first line must be {','.join(READERS)}"))
    else:
        columns = _columns(rows[0], problems)
        if len(rows) - 1 > MOST_THREADS:
            place = rows[MOST_THREADS + 1][0]
            problems.append(Problem(place.line, place.column, f"a box has at most {MOST_THREADS} threads"))
        elif columns is not None:
            threads = [thread for row in rows[1:] if (thread := _thread(row, columns, problems)) is not None]
    if problems:
        raise BadFile(name, sorted(problems, key=lambda problem: problem[:2]))
    return threads


def _columns(header: Sequence[Cell], problems: list[Problem]) -> list[str | None] | None:
    """The name of each column, None for one that is faulty. None where no row can be read by them."""
    columns: list[str | None] = []
    if len(header) > MOST_COLUMNS:
        place = header[MOST_COLUMNS]
        problems.append(Problem(place.line, place.column, f"a file of threads has at most {MOST_COLUMNS} columns"))
        return None
    for cell in header:
        column = cell.text.strip().lower()
        if column in columns:
            problems.append(Problem(cell.line, cell.column, f"duplicate column {quoted(column)}"))
        elif column not in READERS:
            if len(header) == 1 and any(sign in column for sign in ";\t|"):
                message = "the cells of a line must be separated by commas"
            else:
                guess, near = nearest(column, READERS)
                says = f"did you mean {quoted(guess or '')}?" if near else f"known are {', '.join(READERS)}"
                message = f"unknown column {quoted(cell.text)}; {says}" if column else f"a column has no name; {says}"
            problems.append(Problem(cell.line, cell.column, message))
        columns.append(column if column in READERS and column not in columns else None)
    missing = [column for column in NEEDED if column not in columns]
    if missing and None not in columns:
        for column in missing:
            problems.append(Problem(header[0].line, header[0].column, f"the column `{column}` is missing"))
    return None if missing else columns


def _thread(row: Sequence[Cell], columns: Sequence[str | None], problems: list[Problem]) -> BoxThread | None:
    """The thread of a row; None, and what is wrong with it, where it is none."""
    before = len(problems)
    cells: Mapping[str | None, Cell] = dict(zip(columns, row, strict=False))
    found: dict[str, object] = {}
    for column, read_cell in READERS.items():
        cell = cells.get(column)
        if column == "colour" and before > MOST_GUESSES:
            read_cell = partial(colour_of, guess=False)
        try:
            found[column] = read_cell("" if cell is None else from_text(cell.text))
        except Unfit as unfit:
            place = cell or row[-1]
            problems.append(Problem(place.line, place.column, str(unfit)))
    for cell in row[len(columns) :]:
        if cell.text:
            problems.append(
                Problem(cell.line, cell.column, f"this cell has no column; the first line names {len(columns)}")
            )
            break
    if len(problems) > before:
        return None
    return BoxThread(
        0,
        cast(str, found["name"]),
        cast(str, found["colour"]),
        cast(str, found["kind"]),
        cast(float, found["length_mm"]),
        cast(bool, found["whole"]),
        cast("Decimal | None", found["price"]),
    )
