"""The lists of plain mode: what each line says, and what it leads to."""

import os
from collections.abc import Callable, Sequence
from typing import NamedTuple, Optional

from benchmate.choosing.shelves import Entry, Shelf, finished_files, found, piece_entry
from benchmate.craft.effort import how_hard
from benchmate.craft.wording.counting import counted
from benchmate.design_files.shelf import lessons as lesson_paths
from benchmate.files.safe_text import quoted
from benchmate.plain.first_list.source import Source


class Line(NamedTuple):
    """A line of a list: what it says, and the piece or design, the list or the help page that it leads to."""

    says: str
    entry: Entry | None = None
    view: Optional["View"] = None
    topic: str = ""


class View(NamedTuple):
    """A list: its heading, how its lines are made, and what is said where it has none."""

    heading: str
    lines: Callable[[Source], Sequence[Line]]
    empty: str = "Nothing here."


def _main(source: Source) -> list[Line]:
    stock = source.kept_pieces
    unfinished = [piece for piece in stock.on(None) if not piece.finished]
    lines = [_line(piece_entry(piece)) for piece in (*unfinished, *stock.on(Shelf.ASIDE))]
    lessons = [os.path.realpath(path) for path in lesson_paths()]
    if lessons:
        done = len(finished_files(source.pieces).intersection(lessons))
        lines.append(Line(f"lessons, {done} of {len(lessons)} done", view=LESSONS))
    lines += [Line("designs by family", view=BY_FAMILY), Line("designs by difficulty", view=BY_DIFFICULTY)]
    for shelf, words in ((Shelf.FINISHED, "finished pieces"), (Shelf.ASIDE, "pieces put aside"), (Shelf.BIN, "bin")):
        pieces = stock.on(shelf)
        if pieces:
            lines.append(Line(f"{words}, {counted(len(pieces), 'piece')}", view=SHELVES[shelf]))
    return [*lines, Line("help", view=HELP)]


def _lessons(source: Source) -> list[Line]:
    stock = source.stock
    after = stock.next_lesson()
    lines = [_line(entry) for entry in stock.lesson_entries()]
    return [
        line._replace(says=f"{line.says}, next") if at == after and line.entry and not line.entry.state else line
        for at, line in enumerate(lines)
    ]


def _groups(*, difficulty: bool) -> Callable[[Source], list[Line]]:
    def lines(source: Source) -> list[Line]:
        found = source.stock.designs_by(difficulty=difficulty)
        return [
            Line(
                f"{group.heading}, {counted(len(group.entries), 'design')}",
                view=View(group.heading[0].upper() + group.heading[1:], _group(group.heading, difficulty)),
            )
            for group in found
        ]

    return lines


def _group(heading: str, difficulty: bool) -> Callable[[Source], list[Line]]:
    def lines(source: Source) -> list[Line]:
        found = source.stock.designs_by(difficulty=difficulty)
        return [_line(entry) for group in found if group.heading == heading for entry in group.entries]

    return lines


def _shelf(shelf: Shelf) -> Callable[[Source], list[Line]]:
    return lambda source: [_line(piece_entry(piece)) for piece in source.kept_pieces.on(shelf)]


def _topics(source: Source) -> list[Line]:
    from benchmate.help.topics import TOPICS, summary

    return [Line(f"{topic}, {summary(topic)}", topic=topic) for topic in TOPICS]


def finding(text: str) -> View:
    """The list of all that has the text in its title, on every shelf but the bin."""

    def lines(source: Source) -> list[Line]:
        groups = found(source.stock.everything(by_difficulty=False), text)
        return [_line(entry) for group in groups for entry in group.entries]

    said = quoted(text)[1:-1]
    return View(f"Titles with {said}", lines, f"No title has {said} in it.")


def _line(entry: Entry) -> Line:
    """What a piece or a design says: its title, what kind it is, how hard, how far it is and where it is kept."""
    parts = [entry.title]
    if entry.loaded is not None and entry.effort is not None:
        parts += [entry.loaded.design.family.kind(entry.loaded.design.body), how_hard(entry.effort)]
    parts.append(entry.progress)
    if entry.piece is not None and entry.piece.arrangement.deleted:
        parts.append("in the bin")
    elif entry.piece is not None and entry.piece.arrangement.aside:
        parts.append("put aside")
    return Line(", ".join(filter(None, parts)), entry)


LESSONS = View("Lessons", _lessons)
BY_FAMILY = View("Designs by family", _groups(difficulty=False))
BY_DIFFICULTY = View("Designs by difficulty", _groups(difficulty=True))
SHELVES = {
    Shelf.FINISHED: View("Finished pieces", _shelf(Shelf.FINISHED), "No piece is finished yet."),
    Shelf.ASIDE: View("Pieces put aside", _shelf(Shelf.ASIDE), "No piece is put aside."),
    Shelf.BIN: View("Bin", _shelf(Shelf.BIN), "The bin is empty."),
}
HELP = View("Help", _topics)
MAIN = View("Pieces and designs", _main)
