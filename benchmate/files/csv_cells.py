"""CSV text (RFC 4180) as rows of cells, each with its place; cells that a spreadsheet would take for formulas.

Lines and columns count from 1, columns in characters. A byte order mark at the start is not counted. A line may end
with CRLF, as in the standard, or with LF alone.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

from benchmate.files.tree import Problem

_QUOTED = re.compile(r'"((?:[^"]|"")*)("?)')
_PLAIN = re.compile(r'[^,"\r\n]*')
_TO_THE_END = re.compile(r"[^,\r\n]*")
_BREAK = re.compile(r"\r?\n")
_EMPTY_LINES = re.compile(r"(?:\r?\n)+")
_FORMULA = re.compile(r"'*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
"""How a cell begins that a spreadsheet would work out; it takes wide signs for the usual ones."""


class Cell(NamedTuple):
    """The text of a cell, and the place of its first character or its quote."""

    text: str
    line: int
    column: int


def read_cells(text: str) -> tuple[list[list[Cell]], list[Problem]]:
    """The rows of a text, without those that have no text at all, and all problems of its CSV in file order."""
    reader = _Reader(text.removeprefix("\ufeff"))
    rows = [row for row in reader.rows() if any(cell.text for cell in row)]
    return rows, sorted(reader.problems, key=lambda problem: problem[:2])


def as_text(cell: str) -> str:
    """The cell as a spreadsheet shows it as text: one that would be a formula gets an apostrophe before it."""
    return f"'{cell}" if _FORMULA.match(cell) else cell


def from_text(cell: str) -> str:
    """What `as_text` made the cell from. Any other cell stays as it is, a formula too: it is text."""
    return cell[1:] if cell[:1] == "'" and _FORMULA.match(cell) else cell


class _Reader:
    """Goes through a text cell by cell."""

    def __init__(self, text: str) -> None:
        self.problems: list[Problem] = []
        self._text = text
        self._at = 0
        self._line, self._begins = 1, 0

    def rows(self) -> Iterator[list[Cell]]:
        """Every row."""
        while self._at < len(self._text):
            row = [self._cell()]
            while self._text[self._at : self._at + 1] == ",":
                self._at += 1
                row.append(self._cell())
            yield row
            if (end := _EMPTY_LINES.match(self._text, self._at)) is not None:
                self._go_to(end.end())

    def _cell(self) -> Cell:
        line, column = self._line, self._at - self._begins + 1
        quoted = _QUOTED.match(self._text, self._at)
        if quoted is None:
            return Cell(self._rest(_PLAIN), line, column)
        self._go_to(quoted.end())
        if not quoted[2]:
            self.problems.append(Problem(line, column, 'this quote is not closed: end the cell with "'))
        elif rest := self._rest(_TO_THE_END):
            place = self._at - len(rest) - self._begins + 1
            self.problems.append(Problem(self._line, place, "a comma or the end of the line must follow the quote"))
        return Cell(quoted[1].replace('""', '"'), line, column)

    def _rest(self, pattern: re.Pattern[str]) -> str:
        """The text up to the end of the cell; what does not belong in it is a problem."""
        began = self._at
        while True:
            found = pattern.match(self._text, self._at)
            assert found is not None
            self._at = found.end()
            sign = self._text[self._at : self._at + 1]
            if sign == '"':
                message = 'a cell with a quote in it must be in quotes, with the quote written twice: ""'
            elif sign == "\r" and _BREAK.match(self._text, self._at) is None:
                message = "a carriage return alone does not end a line: save the file with LF or CRLF"
            else:
                return self._text[began : self._at]
            self.problems.append(Problem(self._line, self._at - self._begins + 1, message))
            self._at += 1
            pattern = _TO_THE_END

    def _go_to(self, place: int) -> None:
        """Goes on from there, and counts the lines on the way."""
        self._line += self._text.count("\n", self._at, place)
        last = self._text.rfind("\n", self._at, place)
        if last >= 0:
            self._begins = last + 1
        self._at = place
