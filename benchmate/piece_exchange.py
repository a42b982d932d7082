"""Pieces in a file: to another machine, and out of a window whose database has gone."""

from collections.abc import Sequence
from contextlib import closing, suppress
from typing import NamedTuple

from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.wording.counting import counted
from benchmate.design_files.load import parse
from benchmate.files.atomic_write import AlreadyExists, NotWritten, write_atomically
from benchmate.files.safe_text import shown
from benchmate.files.tree import BadFile, Problem
from benchmate.piece_opening import Kept, whole_of_copy
from benchmate.store.database import opened_to_read
from benchmate.store.errors import Advised, Damaged, Gone, StoreError, command
from benchmate.store.log import Event, read_log
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Arrival, Outcome, Pieces
from benchmate.store.places import Home
from benchmate.store.reading import PieceReader, PieceRecord
from benchmate.store.safekeeping import exchange

LOST = (Gone, Damaged)
"""What makes it impossible to save a piece where it was."""


class NoSuchPiece(ValueError):
    """A piece that is asked for does not exist; the text names it."""


class TakenIn(NamedTuple):
    """A piece from a file: its number here, its title, how far it is, what became of it, whether it is in the bin."""

    piece: int
    title: str
    done: int
    size: int
    outcome: Outcome
    deleted: bool


def exported(home: Home, numbers: Sequence[int]) -> bytes:
    """The content of a file with the pieces of these numbers, or with all but those in the bin.

    Raises NoSuchPiece, and StoreError when one cannot be read.
    """
    connection = opened_to_read(home)
    if connection is None:
        raise NoSuchPiece("there are no pieces yet")
    with closing(connection):
        reader = PieceReader(home, connection)
        there = [piece.piece for piece in reader.all() if not piece.arrangement.deleted]
        for number in numbers:
            if number not in there:
                raise NoSuchPiece(f"there is no piece {number}; benchmate pieces --json lists them")
        return exchange.written([reader.record(number) for number in dict.fromkeys(numbers or sorted(there))])


def imported(home: Home, name: str) -> list[TakenIn]:
    """Takes in the pieces of a file, all or none.

    Raises BadFile with the first problem, StoreError, and TakenOver when a piece that would go on is open in a window.
    """
    arrivals = [_arrival(name, line, record) for line, record in exchange.read(name)]
    pieces = Pieces(home)
    try:
        outcomes = pieces.take_in(arrivals)
        return [
            TakenIn(piece, row.title, row.done, row.size, outcome, row.arrangement.deleted)
            for piece, outcome in outcomes
            for row in (pieces.get(piece),)
        ]
    finally:
        pieces.close()


def _arrival(name: str, line: int, record: PieceRecord) -> Arrival:
    """The piece, found to fit its design."""

    def bad(why: str) -> BadFile:
        return BadFile(name, [Problem(line, 1, f"this piece cannot be used: {why}")])

    for _, copy in record.copies:
        for text in (copy.design, copy.start, copy.finish):
            if text is not None and parse(text, limit_texts=False)[0] is None:
                raise bad("its design cannot be read")
    used = [entry.first for entry in record.log if entry.act == "copy"]
    if used != list(range(1, len(record.copies))):
        raise bad("its log does not fit its designs")
    try:
        whole = whole_of_copy(record.copies[-1][1], record.way)
        events = [Event(number, act, first, last) for number, (_, act, first, last) in enumerate(record.log, 1)]
        state = read_log(events)
        progress = Progress.resume(whole.made_otherwise(state.altered.all), by_rows(whole), state.history)
    except (ValueError, IndexError) as error:
        raise bad("its log does not fit its design") from error
    told = record.told
    if max((*told.measured, *(each.string for each in told.new_strings)), default=0) > len(whole.strings):
        raise bad("a string was measured that its design does not have")
    return Arrival(record, whole.main.design.title, whole.size, progress.done)


def rescued(held: OpenPiece, error: StoreError) -> StoreError:
    """Writes a piece that can no longer be saved in its place to a fresh file beside it; the error that says so.

    All other pieces that can still be read are written with it: they may be lost as well.
    """
    if held.piece is None:
        return error
    home = held.home
    with suppress(OSError):
        home.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    others = held.other_records()
    content = exchange.written([held.record(), *others])
    number = 1
    while True:
        file = home.folder / f"rescued-{number}.pieces"
        try:
            write_atomically(file, content)
        except AlreadyExists:
            number += 1
        except NotWritten as failure:
            return StoreError(f"{error} It could not be written beside it either: {shown(str(file))}: {failure}")
        else:
            break
    commands = error.commands if isinstance(error, Advised) else ()
    text = error.text if isinstance(error, Advised) and commands else str(error)
    obstacle = None if commands else _obstacle(home)
    if isinstance(obstacle, Advised) and obstacle.commands:
        commands = obstacle.commands
    elif obstacle is not None and not isinstance(error, Damaged):
        text = f"{text} {obstacle}"
    written = f"Your piece, {held.progress.done} of {held.whole.size} steps, is written to {file}"
    if others:
        written += f", with {counted(len(others), 'other piece')}"
    return Advised(f"{text} {written}.", "To go on", [*commands, command("pieces", "--import", str(file))])


def copy_after_work(kept: Kept, left: OpenPiece | None) -> str | None:
    """Makes a copy of the pieces after one was left; what to say where it could not be made.

    Raises a StoreError when the database has gone since: nothing may be called saved then.
    """
    try:
        kept.keep_copy()
    except Gone as error:
        raise (error if left is None else rescued(left, error)) from error
    except StoreError as error:
        return f"benchmate: {shown(str(error))}"
    return None


def _obstacle(home: Home) -> StoreError | None:
    """Why the next start could not use the database; None when it could."""
    try:
        connection = opened_to_read(home)
    except StoreError as error:
        return error
    if connection is not None:
        connection.close()
    return None
