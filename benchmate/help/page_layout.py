"""Lays out pages of plain text for a width: paragraphs wrap, tables keep their columns, examples keep their lines.

Blank lines separate the blocks of a page. The first line of a block decides its kind:

- indented by four spaces or more: an example, kept line by line;
- indented by two spaces: a table, each row a term, two or more spaces and its meaning; deeper lines continue a row;
- `- `: a list;
- anything else: a paragraph.
"""

import re
from collections.abc import Sequence
from textwrap import wrap

NARROWEST = 12
"""The smallest width, in characters."""
LEAST_MEANING = 24
"""The smallest width of the right column of a table; if there is less, each meaning goes below its term."""
EXAMPLE = "    "
ROW = "  "
ITEM = "- "
_GAP = re.compile(r" {2,}")


def laid_out(text: str, width: int) -> list[str]:
    """The text in lines of at most `width` characters (at least NARROWEST), with blank lines between blocks."""
    width = max(NARROWEST, width)
    lines: list[str] = []
    for block in _blocks(text):
        lines += ["", *_block(block, width)] if lines else _block(block, width)
    return lines


def in_sentences(text: str) -> list[str]:
    """The text in lines of any length without columns or blank lines: a paragraph, a row or an item each.

    An example keeps its lines and its own indents, which are part of what it shows.
    """
    lines: list[str] = []
    for block in _blocks(text):
        if block[0].startswith(EXAMPLE):
            lines += [line.removeprefix(EXAMPLE).rstrip() for line in block]
        elif block[0].startswith(ROW):
            lines += [f"{term}: {meaning}" if meaning else term for term, meaning in _rows(block)]
        elif block[0].startswith(ITEM):
            lines += _items(block)
        else:
            lines.append(" ".join(block))
    return lines


def _blocks(text: str) -> list[list[str]]:
    return [block.split("\n") for block in re.split(r"\n\s*\n", text.strip("\n"))]


def _block(block: Sequence[str], width: int) -> list[str]:
    if block[0].startswith(EXAMPLE):
        return _example(block, width)
    if block[0].startswith(ROW):
        return _table(_rows(block), width)
    if block[0].startswith(ITEM):
        return [line for item in _items(block) for line in _wrapped(item, width, ITEM, "  ")]
    return _wrapped(" ".join(block), width)


def _example(block: Sequence[str], width: int) -> list[str]:
    """The lines unchanged. If one is too long, the block loses its indent; lines still too long are wrapped."""
    if max(map(len, block)) > width:
        block = [line.removeprefix(EXAMPLE) for line in block]
    lines: list[str] = []
    for line in block:
        bare = line.lstrip()
        indent = line[: len(line) - len(bare)]
        lines += [line] if len(line) <= width else _wrapped(bare, width, indent, indent + EXAMPLE)
    return lines


def _rows(block: Sequence[str]) -> list[tuple[str, str]]:
    """The rows of a table: terms and meanings."""
    rows: list[tuple[str, str]] = []
    for line in block:
        if line.startswith(ROW + " ") and rows:
            term, meaning = rows[-1]
            rows[-1] = term, f"{meaning} {line.strip()}"
        else:
            term, *rest = _GAP.split(line.strip(), maxsplit=1)
            rows.append((term, rest[0] if rest else ""))
    return rows


def _table(rows: Sequence[tuple[str, str]], width: int) -> list[str]:
    """Two columns, or each meaning below its term where the second column would be too narrow."""
    column = len(ROW) + max(len(term) for term, _ in rows) + 2
    lines: list[str] = []
    for term, meaning in rows:
        if width - column >= LEAST_MEANING:
            lines += _wrapped(meaning, width, f"{ROW}{term}".ljust(column), " " * column)
        else:
            lines += [*_wrapped(term, width, ROW, ROW), *_wrapped(meaning, width, EXAMPLE, EXAMPLE)]
    return lines


def _items(block: Sequence[str]) -> list[str]:
    items: list[str] = []
    for line in block:
        if line.startswith(ITEM) or not items:
            items.append(line.removeprefix(ITEM))
        else:
            items[-1] += " " + line.strip()
    return items


def _wrapped(text: str, width: int, first: str = "", following: str = "") -> list[str]:
    # Shorten an indent that leaves too little room.
    first, following = (first if len(first) < width else ""), following[: max(0, width // 2)]
    return wrap(text, width, initial_indent=first, subsequent_indent=following, break_on_hyphens=False) or [
        first.rstrip()
    ]
