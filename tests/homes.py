"""Homes with pieces in them: made, copied, damaged, and brought back by what the program advises."""

import io
import os
import re
import shlex
import shutil
import sqlite3
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from unittest.mock import patch

from benchmate import cli
from benchmate.store.database import Database
from benchmate.store.log import Event, LogInMemory
from benchmate.store.places import HOME, Home
from benchmate.store.reading import Copy, Piece, PieceReader, pieces_kept
from benchmate.store.thread.cuts import Cut, put_cuts
from tests.running import Done

ADVISED = re.compile(r": (benchmate (?:restore|pieces --import) .+)")
"""The commands at the end of a message, for a person to copy."""
OLD = Path(__file__).with_name("trust") / "data" / "version-2.sql"
"""A database as the version before kept it."""


def keep_cut(database: Database, piece: int, gauge: str, cuts: Sequence[Cut]) -> None:
    """Keeps what was cut for a piece, as its next saved step would."""
    with database.writing():
        put_cuts(database.connection, piece, gauge, cuts)


def events_of(pieces: PieceReader, piece: int) -> list[Event]:
    """The log of a piece."""
    return list(LogInMemory().kept(pieces.log(piece)))


def design_of(pieces: PieceReader, piece: int) -> Copy:
    """The copy of its design that a piece uses now."""
    return pieces.copies_of(piece)[-1][1]


def command(*arguments: str | Path, home: Path, given: str = "") -> Done:
    """Runs one command line in this process, which is much quicker than a process of its own."""
    streams = [io.TextIOWrapper(io.BytesIO(), "utf-8", errors="backslashreplace") for _ in range(2)]
    out, err = streams
    with (
        patch.dict(os.environ, {HOME: str(home)}),
        patch.multiple(sys, stdin=io.StringIO(given), stdout=out, stderr=err),
    ):
        try:
            status = cli.main([str(each) for each in arguments])
        except SystemExit as left:
            status = int(left.code or 0)
    texts = []
    for stream in streams:
        stream.flush()
        assert isinstance(stream.buffer, io.BytesIO)
        texts.append(stream.buffer.getvalue().decode())
    return Done(status, *texts)


def follow(design: Path, home: Path, answers: int = 0, *options: str) -> Done:
    """Follows a design in this process, line by line, with so many steps done."""
    return command("follow", design, "--plain", *options, home=home, given="\n" * answers)


def listed(home: Path) -> dict[int, Piece]:
    """Every piece by its number."""
    return {piece.piece: piece for piece in pieces_kept(Home(home))}


def done_of(home: Path) -> dict[int, int]:
    """How many steps of each piece are done."""
    return {number: piece.done for number, piece in listed(home).items()}


def advised(said: str) -> list[list[str]]:
    """The arguments of every command in a message, in order; the message may have been broken into lines."""
    commands = [each for found in ADVISED.findall(said) for each in found.split(" && ")]
    return [shlex.split(each)[1:] for each in commands]


def follow_advice(said: str, home: Path, least: int = 1) -> list[Done]:
    """Runs every command in a message as it stands, and checks that each works."""
    commands = advised(said)
    assert len(commands) >= least, said
    results = [command(*arguments, home=home, given="yes\n") for arguments in commands]
    for arguments, done in zip(commands, results, strict=True):
        assert done.status == 0, (said, arguments, done)
    return results


def export(home: Path, file: Path, *pieces: str) -> Path:
    """Writes pieces to a file; returns it."""
    done = command("pieces", "--export", file, "--force", *pieces, home=home)
    assert (done.status, done.out, done.err) == (0, "", "")
    return file


def take_in(home: Path, file: Path) -> list[str]:
    """What became of each piece in a file."""
    done = command("pieces", "--import", file, home=home)
    assert (done.status, done.err) == (0, "")
    return [line.rpartition(": ")[2] for line in done.out.splitlines()]


@contextmanager
def opened(file: Path) -> Iterator[sqlite3.Connection]:
    """A database opened by another program."""
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        yield connection


def old_database(file: Path, aside: Path | None = None) -> None:
    """Makes a database of the version before. With `aside`, all of it is only in the write-ahead log beside it."""
    file.parent.mkdir(parents=True, exist_ok=True)
    making = file if aside is None else aside
    making.parent.mkdir(parents=True, exist_ok=True)
    with opened(making) as connection:
        connection.execute("PRAGMA journal_mode = WAL" if aside is not None else "PRAGMA journal_mode = DELETE")
        connection.execute("PRAGMA wal_autocheckpoint = 0")
        connection.executescript(OLD.read_text(encoding="utf-8"))
        if aside is not None:
            # As a killed program leaves them.
            for end in "", "-wal":
                shutil.copy(f"{making}{end}", f"{file}{end}")


def age(*files: Path, days: float = 2) -> None:
    """Makes files older."""
    moment = time.time() - days * 24 * 3600
    for file in files:
        os.utime(file, (moment, moment))
