"""The file in which pieces go to another machine: a line of JSON for each piece, with its whole log.

The first line names the format, its version and the number of pieces. Every other line ends with the SHA-256 of the
rest of it, so that a line that was cut off or changed is refused.
"""

import hashlib
import json
import ntpath
import posixpath
import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from benchmate.craft.float_rules import KnotSize
from benchmate.craft.thread.cut_list import Length
from benchmate.craft.ways import NAMES, Way
from benchmate.files.regular_file import CannotRead, read_regular
from benchmate.files.safe_text import LONGEST_NAME, hidden_in, is_gauge_name, is_name
from benchmate.files.tree import MOST_BYTES, BadFile, Problem
from benchmate.store.log import ACTS, MOST_NUMBERS, LogEntry
from benchmate.store.reading import Arrangement, Copy, PieceRecord, path_bytes
from benchmate.store.thread.cuts import Cut, WasCut
from benchmate.store.thread.new_strings import NewString
from benchmate.store.thread.strings_left import MeasuredString
from benchmate.store.thread.thread_told import ThreadTold

FORMAT = "benchmate pieces"
VERSION = 1
BEGINNING = f'{{"format":"{FORMAT}"'.encode()
SQLITE = b"SQLite format 3\0"
"""How a database begins: https://www.sqlite.org/fileformat2.html#magic_header_string"""
MOST = 256 * 2**20
"""The most bytes of such a file."""
LONGEST_PATH = 4096
MOST_LENGTHS, MOST_MM = 200_000, 1e9
MOST_REPEATS = MOST_CHANGES = 10**9
LARGEST_KNOT = 1000.0
"""No knot of a band is as wide or as high, mm."""
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)


def written(records: Sequence[PieceRecord]) -> bytes:
    """The content of a file with these pieces."""
    head = {"format": FORMAT, "version": VERSION, "pieces": len(records)}
    documents = [head, *map(_sealed, map(_document, records))]
    return "".join(f"{json.dumps(document, separators=(',', ':'))}\n" for document in documents).encode()


def _document(record: PieceRecord) -> dict[str, Any]:
    return {
        "title": record.title,
        "file": record.file,
        "started": record.started,
        "touched": record.touched,
        "way": record.way._asdict(),
        "kept": record.arrangement._asdict(),
        "designs": [{"at": at, **copy._asdict()} for at, copy in record.copies],
        "log": [list(entry) for entry in record.log],
        **({} if record.knot_size is None else {"knots": record.knot_size._asdict()}),
        **_told_document(record.told),
    }


def _told_document(told: ThreadTold) -> dict[str, Any]:
    document = {
        "measured": [[each, *of] for each, of in told.measured.items()],
        "new_strings": [_new_string_row(each) for each in told.new_strings],
        "ticked": _length_rows([each.length for each in told.ticked]),
    }
    kept = {name: rows for name, rows in document.items() if rows}
    if told.was_cut is None:
        return kept
    gauge, cuts = told.was_cut
    return {"cut": _cut_document(gauge, [each.length for each in cuts]), **kept}


def _cut_document(gauge: str, lengths: Sequence[Length]) -> dict[str, Any]:
    return {"gauge": gauge, "lengths": _length_rows(lengths)}


def _length_rows(lengths: Sequence[Length]) -> list[list[Any]]:
    return [[each.colour, each.strings, each.leading, each.cut_mm] for each in lengths]


def _new_string_row(new: NewString) -> list[Any]:
    return [new.string, new.after, new.colour, new.mm, new.before, new.at, new.back]


def _sealed(document: dict[str, Any]) -> dict[str, Any]:
    return {**document, "sha256": _sum(document)}


def _sum(document: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(document, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


class Line(NamedTuple):
    """A piece in such a file, and the number of its line."""

    line: int
    record: PieceRecord


def read(name: str) -> list[Line]:
    """The pieces in a file; raises BadFile with the first problem. Whether a log fits its design is not checked."""
    try:
        data = read_regular(name, MOST)
    except CannotRead as error:
        raise BadFile(name, message=str(error)) from error
    if len(data) > MOST:
        raise BadFile(name, message=f"this file is larger than {MOST >> 20} MB, the most a file of pieces can be")
    try:
        return list(_lines(data))
    except _Wrong as wrong:
        raise BadFile(name, [Problem(wrong.line, wrong.column, str(wrong))]) from wrong


class _Wrong(Exception):
    """What is wrong at a place of the file."""

    def __init__(self, line: int, message: str, column: int = 1) -> None:
        super().__init__(message)
        self.line = line
        self.column = column


class _Unfit(ValueError):
    """Why a document is not a piece, in words."""


def is_export(file: str | Path) -> bool:
    """True for a file that begins as one with pieces does."""
    with open(file, "rb") as stream:
        return stream.read(len(BEGINNING)) == BEGINNING


def _lines(data: bytes) -> Iterator[Line]:
    lines = data.splitlines()
    if data.startswith(SQLITE):
        raise _Wrong(1, "this is a copy of all pieces; benchmate restore takes it back")
    head = _parsed(1, lines[0]) if lines else None
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        raise _Wrong(1, "this is not a file of pieces; benchmate pieces --export writes one")
    if head.get("version") != VERSION:
        raise _Wrong(1, f"this file was written by a newer version of benchmate; this one reads version {VERSION}")
    if head.get("pieces") != len(lines) - 1:
        raise _Wrong(len(lines), f"the first line promises another number of pieces than the {len(lines) - 1} here")
    for number, text in enumerate(lines[1:], 2):
        document = _parsed(number, text)
        if not isinstance(document, dict) or document.pop("sha256", None) != _sum(document):
            raise _Wrong(number, "this piece is not as it was written; export it again")
        try:
            yield Line(number, _record(document))
        except (KeyError, TypeError, ValueError) as error:
            raise _Wrong(number, f"this piece cannot be used: {_plain(error)}") from error


def _parsed(number: int, text: bytes) -> Any:
    try:
        return json.loads(text.decode("ascii"))
    except json.JSONDecodeError as error:
        raise _Wrong(number, "this line is not JSON; it was cut off or changed", error.colno) from error
    except UnicodeDecodeError as error:
        raise _Wrong(number, "this line has a character that no file of pieces has", error.start + 1) from error
    except (RecursionError, ValueError) as error:
        raise _Wrong(number, "this line is not JSON that a file of pieces has") from error


def _plain(error: Exception) -> str:
    if isinstance(error, UnicodeError):
        return "a text in it is not Unicode"
    if isinstance(error, KeyError):
        return f"it has no `{error.args[0]}`"
    return str(error) if isinstance(error, _Unfit) else "a part of it is of another kind than --export writes"


def _record(document: dict[str, Any]) -> PieceRecord:
    """The piece in a document. Raises KeyError, TypeError and ValueError."""
    way = document["way"]
    copies = [
        (
            _moment(each["at"]),
            Copy(_text(each["design"]), _or_none(each["start"]), _or_none(each["finish"]), _repeats(each)),
        )
        for each in _list(document["designs"])
    ]
    log = [
        LogEntry(_moment(at), _act(act), _step(first), _step(last)) for at, act, first, last in _list(document["log"])
    ]
    if not copies or not log:
        raise _Unfit("it has no design or no log")
    by = way["by"]
    if by not in NAMES:
        raise _Unfit("it is worked in a way this program does not know")
    path = document["file"]
    if not isinstance(path, str) or "\0" in path or len(path) > LONGEST_PATH or not path_bytes(path):
        raise _Unfit("the path of its design's file is not valid")
    # Of either kind: it may come from another system.
    if not any(kind.isabs(path) and kind.normpath(path) == path for kind in (posixpath, ntpath)):
        raise _Unfit("its design's file is not a whole path")
    return PieceRecord(
        _text(document["title"]),
        path,
        _moment(document["started"]),
        _moment(document["touched"]),
        Way(by, _flag(way["from_right"]), _flag(way["mirrored"])),
        copies,
        log,
        _told(document),
        _arrangement(document["kept"]) if "kept" in document else Arrangement(),
        _knot_size(document["knots"]) if "knots" in document else None,
    )


def _knot_size(size: dict[str, Any]) -> KnotSize:
    """The size of knots by which the piece was planned. Most pieces have none of their own."""
    found = KnotSize(size["wide"], size["high"])
    if not all(isinstance(mm, float) and 0 < mm < LARGEST_KNOT for mm in found):
        raise _Unfit("the size of its knots is not valid")
    return found


def _told(document: dict[str, Any]) -> ThreadTold:
    """What is known of the thread of the piece. Files of earlier versions do not say all of it."""
    return ThreadTold(
        _cut(document["cut"]) if "cut" in document else None,
        _lengths(document["ticked"]) if "ticked" in document else [],
        _measured(document.get("measured", [])),
        [_new_string(*each) for each in _list(document.get("new_strings", []))],
    )


def _cut(document: dict[str, Any]) -> WasCut:
    """What was cut for the piece."""
    return _gauge(document["gauge"]), _lengths(document["lengths"])


def _lengths(document: object) -> list[Cut]:
    """Lengths that were cut."""
    found = _list(document)
    if not 0 < len(found) <= MOST_LENGTHS:
        raise _Unfit("it has no lengths that were cut, or too many")
    return [
        Cut(
            Length(
                _name(colour),
                tuple(map(_string, _list(strings))),
                _mm(mm),
                None if leading is None else _string(leading),
            )
        )
        for colour, strings, leading, mm in found
    ]


def _measured(document: object) -> dict[int, MeasuredString]:
    """What was left of the strings of the piece."""
    return {_string(string): _measure(*of) for string, *of in _list(document)}


def _measure(done: object, mm: object, joined: object, by_eye: object, at: object) -> MeasuredString:
    return MeasuredString(_step(done), _rest(mm), _flag(joined), _flag(by_eye), _moment(at))


def _new_string(
    string: object, after: object, colour: object, mm: object, before: object, at: object, back: object
) -> NewString:
    """A new string that took over from another."""
    was, taken_back = None if before is None else _measure(*_list(before)), None if back is None else _moment(back)
    step = -1 if after == -1 else _step(after)
    return NewString(_string(string), step, _name(colour), _mm(mm), None, was, _moment(at), taken_back)


def _rest(value: object) -> float:
    if not isinstance(value, float) or not 0 <= value <= MOST_MM:
        raise _Unfit("the rest of a string in it is not valid")
    return value


def _gauge(value: object) -> str:
    if not isinstance(value, str) or not is_gauge_name(value):
        raise _Unfit("the name of its gauge is not valid")
    return value


def _name(value: object) -> str:
    if not isinstance(value, str) or len(value) > LONGEST_NAME or not is_name(value):
        raise _Unfit("a name in it is not valid")
    return value


def _string(value: object) -> int:
    if type(value) is not int or not 1 <= value <= MOST_LENGTHS:
        raise _Unfit("a string in it is not valid")
    return value


def _mm(value: object) -> float:
    if not isinstance(value, float) or not 0 < value <= MOST_MM:
        raise _Unfit("a length in it is not valid")
    return value


def _arrangement(kept: dict[str, Any]) -> Arrangement:
    """How the piece is kept. Files of earlier versions do not say."""
    name, changes = _or_none(kept["name"]), kept["changes"]
    if name is not None and (not 0 < len(name) <= LONGEST_NAME or hidden_in(name)):
        raise _Unfit("its name is empty, too long or not plain text")
    if type(changes) is not int or not 0 <= changes <= MOST_CHANGES:
        raise _Unfit("its number of changes is not valid")
    return Arrangement(name, _flag(kept["aside"]), _flag(kept["deleted"]), changes)


def _text(value: object) -> str:
    if not isinstance(value, str) or len(value) > MOST_BYTES:
        raise _Unfit("a text in it is not valid, or too long")
    value.encode()
    return value


def _or_none(value: object) -> str | None:
    return None if value is None else _text(value)


def _list(value: object) -> list[Any]:
    if not isinstance(value, list):
        raise _Unfit("a list in it is not valid")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise _Unfit("a yes or no in it is not valid")
    return value


def _moment(value: object) -> str:
    if not isinstance(value, str) or not _MOMENT.fullmatch(value):
        raise _Unfit("a time in it is not valid")
    datetime.fromisoformat(value)
    return value


def _act(value: object) -> str:
    if value not in ACTS:
        raise _Unfit("its log has an entry that this program does not know")
    return str(value)


def _step(value: object) -> int:
    if type(value) is not int or not 0 <= value < MOST_NUMBERS:
        raise _Unfit("a step in its log is not valid")
    return value


def _repeats(copy: dict[str, Any]) -> int:
    value = copy["repeats"]
    if type(value) is not int or not 1 <= abs(value) <= MOST_REPEATS:
        raise _Unfit("its number of repeats is not valid")
    return value
