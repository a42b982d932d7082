"""Files of pieces that were changed: refused at their place, whatever is in them, and nothing of them is taken in."""

import hashlib
import json
import random
import re
import resource
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from benchmate.craft.thread.cut_list import Length
from benchmate.store.database import Database
from benchmate.store.log import MOST_NUMBERS
from benchmate.store.places import Home
from benchmate.store.safekeeping.exchange import LONGEST_PATH, read
from benchmate.store.thread.cuts import Cut
from tests.homes import command, done_of, export, follow, keep_cut, listed, take_in
from tests.running import Done

PLACE = re.compile(r"[^\n]+:(\d+):(\d+): [^\n]+\n")


@pytest.fixture
def there(tmp_path: Path) -> Path:
    """The home on another machine."""
    return tmp_path / "there"


def document(record: Path, line: int = 1) -> dict[str, Any]:
    found = json.loads(record.read_text().splitlines()[line])
    assert isinstance(found, dict)
    return found


def sealed(document: dict[str, Any]) -> str:
    """The line of a piece with the checksum its content has now, as anyone can make it."""
    rest = {name: value for name, value in document.items() if name != "sha256"}
    text = json.dumps(rest, sort_keys=True, separators=(",", ":"))
    return json.dumps({**rest, "sha256": hashlib.sha256(text.encode()).hexdigest()})


def forged(file: Path, document: dict[str, Any] | str) -> Path:
    """A file with one piece and a right checksum."""
    head = '{"format":"benchmate pieces","version":1,"pieces":1}\n'
    file.write_text(head + (document if isinstance(document, str) else sealed(document)) + "\n")
    return file


def refused(home: Path, file: Path) -> Done:
    """Checks that a file is refused in one line with its place, and changes nothing."""
    before = (home / "pieces.db").read_bytes() if home.exists() else None
    done = command("pieces", "--import", file, home=home)
    assert (done.status, done.out) == (1, ""), done
    found = PLACE.fullmatch(done.err)
    assert found, done.err
    assert done.err[:-1].isprintable()
    lines = file.read_bytes().split(b"\n")
    assert 1 <= int(found[1]) <= max(1, len(lines))
    assert int(found[2]) >= 1
    assert ((home / "pieces.db").read_bytes() if home.exists() else None) == before
    return done


@pytest.fixture
def exported(band: Path, home: Path, tmp_path: Path) -> Path:
    """A file with one piece of which four steps are done, one as the second of a jump, and what was cut for it."""
    follow(band, home, 4)
    with closing(Database(Home(home))) as database:
        keep_cut(database, 1, "floss", [Cut(Length("slate", (1, 4), 1880.0), 3), Cut(Length("rain", (), 470.5, 2))])
    return export(home, tmp_path / "rain.pieces")


def set_to(*path: Any) -> Callable[[dict[str, Any]], None]:
    """Changes what is at a place of a document."""
    *way, last, value = path

    def change(found: Any) -> None:
        for key in way:
            found = found[key]
        found[last] = value

    return change


def without(*path: Any) -> Callable[[dict[str, Any]], None]:
    """Removes what is at a place of a document."""
    *way, last = path

    def change(found: Any) -> None:
        for key in way:
            found = found[key]
        del found[last]

    return change


DEEP: Any = []
for _ in range(400):
    DEEP = [DEEP]
VALUES: tuple[Any, ...] = (None, True, 0, -1, 1.5, 2**70, "", "x", "\x1b[2J", "\ud800", "a\0b", [], {}, [[]], DEEP)
HOSTILE: dict[str, Callable[[dict[str, Any]], None]] = {
    "a month 99": set_to("touched", "9999-99-99T00:00:00.000Z"),
    "a year 0": set_to("started", "0000-01-01T00:00:00.000Z"),
    "another zone": set_to("touched", "2026-03-04T00:00:00+09:00"),
    "digits of another script": set_to("started", "٢٠٢٦-03-04T00:00:00.000Z"),
    "a time with a line break": set_to("started", "2026-03-04T00:00:00.000Z\n"),
    "a path with NUL": set_to("file", "/a\0b.yaml"),
    "a path of a megabyte": set_to("file", "/" * (LONGEST_PATH + 1)),
    "no path": set_to("file", ""),
    "half a character in the path": set_to("file", "/a\ud800.yaml"),
    "half a character in the title": set_to("title", "\ud800"),
    "half a character in the design": set_to("designs", 0, "design", "title: \ud800"),
    "no design": set_to("designs", []),
    "a design that is none": set_to("designs", 0, "design", "rows: ["),
    "an escape in the design": set_to("designs", 0, "design", "\x1b[2J"),
    "a start that is none": set_to("designs", 0, "start", "x"),
    "no repeats": set_to("designs", 0, "repeats", 0),
    "too many repeats": set_to("designs", 0, "repeats", 10**9),
    "far too many repeats": set_to("designs", 0, "repeats", 10**30),
    "repeats that are true": set_to("designs", 0, "repeats", True),
    "no log": set_to("log", []),
    "an act that is none": set_to("log", 0, 1, "\x1b]0;x\x07"),
    "a step below 0": set_to("log", 0, 2, -1),
    "a step beyond the design": set_to("log", 3, slice(2, 4), [999, 999]),
    "a step beyond any": set_to("log", 0, 3, MOST_NUMBERS),
    "a step of 30 digits": set_to("log", 0, 3, 10**30),
    "a step that is a fraction": set_to("log", 0, 3, 0.0),
    "a step tied twice": set_to("log", 3, slice(2, 4), [0, 0]),
    "a step tied before those it rests on": set_to("log", 3, slice(2, 4), [11, 11]),
    "a step untied that is not tied": set_to("log", 3, slice(1, 4), ["untie", 9, 9]),
    "a mark on a step that is not tied": set_to("log", 3, slice(1, 4), ["wrong", 9, 9]),
    "a copy that is not there": set_to("log", 3, slice(1, 4), ["copy", 1, 1]),
    "too short an entry": set_to("log", 3, ["tie"]),
    "too long an entry": set_to("log", 3, ["tie"] * 9),
    "an entry that is a text": set_to("log", 3, "tie!"),
    "an unknown way": set_to("way", "by", "columns"),
    "a way that is a list": set_to("way", []),
    "a side that is a number": set_to("way", "from_right", 1),
    "a length that is no number": set_to("cut", "lengths", 1, 3, float("nan")),
    "a length without end": set_to("cut", "lengths", 0, 3, float("inf")),
    "a string that is none": set_to("cut", "lengths", 0, 1, [1, 0]),
    "too many lengths": lambda piece: piece["cut"].update(lengths=piece["cut"]["lengths"] * 100_001),
    "a gauge that controls the terminal": set_to("cut", "gauge", "floss\x1b[2J"),
    "a way to make a knot that is none": set_to("log", 3, slice(1, 4), ["made", 0, 5]),
    "a knot made as in the chart": set_to("log", 3, slice(1, 4), ["made", 0, 0]),
    "an open knot that was made": set_to("log", 3, slice(1, 4), ["made", 9, 4]),
    "a tied knot that will be made": set_to("log", 3, slice(1, 4), ["change", 0, 4]),
    "a knot that is as charted already": set_to("log", 3, slice(1, 4), ["charted", 0, 0]),
    "a knot beyond the design that will be made": set_to("log", 3, slice(1, 4), ["change", 99, 4]),
    "a measured string that is none": set_to("measured", [[9, 1, 2.5, False, "2026-03-04T00:00:00.000Z"]]),
    "a string measured below 0": set_to("measured", [[1, 1, -2.5, False, "2026-03-04T00:00:00.000Z"]]),
    "a string measured without end": set_to("measured", [[1, 1, float("inf"), False, "2026-03-04T00:00:00.000Z"]]),
    "a string measured at no time": set_to("measured", [[1, 1, 2.5, False, "yesterday"]]),
    "measured strings that are none": set_to("measured", 7),
    "a new string that is none": set_to("new_strings", [[9, 1, "slate", 2.5, None, "2026-03-04T00:00:00.000Z", None]]),
    "a new string without a length": set_to(
        "new_strings", [[1, 1, "slate", 0.0, None, "2026-03-04T00:00:00.000Z", None]]
    ),
    "a new string after what cannot be": set_to(
        "new_strings", [[1, 1, "slate", 2.5, [1, 2], "2026-03-04T00:00:00.000Z", None]]
    ),
    "a new string in an escape sequence": set_to(
        "new_strings", [[1, 1, "\x1b[2J", 2.5, None, "2026-03-04T00:00:00.000Z", None]]
    ),
    "a new string taken back at no time": set_to(
        "new_strings", [[1, 1, "slate", 2.5, None, "2026-03-04T00:00:00.000Z", "later"]]
    ),
    "a new string after a step that is none": set_to(
        "new_strings", [[1, -2, "slate", 2.5, None, "2026-03-04T00:00:00.000Z", None]]
    ),
    "new strings that are none": set_to("new_strings", {"a": 1}),
    "a length ticked off without a string": set_to("ticked", [["slate", [0], None, 400.0]]),
    "lengths ticked off that are none": set_to("ticked", "all"),
    "a second design that nothing mentions": lambda piece: piece["designs"].append(piece["designs"][0]),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_content_with_a_right_checksum(exported: Path, home: Path, kind: str) -> None:
    changed = document(exported)
    HOSTILE[kind](changed)
    refused(home, forged(exported, changed))


def test_many_hostile_values(exported: Path, home: Path) -> None:
    good = json.dumps(document(exported))
    places: list[tuple[Any, ...]] = [(name,) for name in json.loads(good) if name != "sha256"]
    places += [("designs", 0, name) for name in ("at", "design", "start", "finish", "repeats")]
    places += [("designs", 0), ("log", 0), *(("log", 0, at) for at in range(4))]
    places += [("way", name) for name in ("by", "from_right", "mirrored")]
    places += [("kept", name) for name in ("name", "aside", "deleted", "changes")]
    places += [("cut", "gauge"), ("cut", "lengths"), ("cut", "lengths", 0)]
    places += [("cut", "lengths", 0, at) for at in range(4)]
    for place in places:
        for value in VALUES:
            changed = json.loads(good)
            set_to(*place, value)(changed)
            a_text = isinstance(value, str) and value != "\ud800" and place == ("title",)
            a_name = value in (None, "x") and place == ("kept", "name")
            a_count = type(value) is int and 0 <= value <= 10**9 and place == ("kept", "changes")
            a_path = value in ("x", "\x1b[2J") and place == ("file",)
            a_flag = value is True and place[-1] in ("from_right", "mirrored", "aside", "deleted")
            a_cut = place[0] == "cut" and (
                (value == "x" and place[-1] in ("gauge", 0) and place[-2] != "lengths")
                or (value == 1.5 and type(value) is float and place[-1] == 3)
                or (value is None and place[-1] == 2)
                or (value == [] and place[-1] == 1)
            )
            if json.dumps(changed) != good and not any((a_text, a_name, a_count, a_path, a_flag, a_cut)):
                refused(home, forged(exported, changed))
        if place in (("kept",), ("cut",), ("cut", "lengths", 0)):
            # As earlier versions exported, or one length fewer.
            continue
        changed = json.loads(good)
        without(*place)(changed)
        refused(home, forged(exported, changed))


def test_nesting_of_any_depth(exported: Path, home: Path) -> None:
    good = sealed(document(exported))
    for depth in (*range(100, 3000, 97), 10**5):
        nested = good[:-1] + ', "more": ' + "[" * depth + "]" * depth + "}"
        refused(home, forged(exported, nested))


def test_no_memory_is_wasted_on_a_log(exported: Path, home: Path) -> None:
    changed = document(exported)
    at = changed["log"][0][0]
    changed["log"] = [[at, "tie", 0, MOST_NUMBERS - 1]] * 300
    forged(exported, changed)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    refused(home, exported)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 300_000


def test_what_lies_is_worked_out_again(exported: Path, there: Path) -> None:
    changed = document(exported)
    changed.update(title="Another title", done=99, size=3, touched="9998-01-01T00:00:00.000Z")
    assert take_in(there, forged(exported, changed)) == ["added"]
    (piece,) = listed(there).values()
    assert (piece.title, piece.done, piece.size, piece.holder) == ("Rain on slate", 4, 12, None)
    # A clock that was ahead does not put this piece before all others for ever.
    assert piece.touched < "9998"


@pytest.mark.parametrize(
    "head",
    [
        *("", "[]", "7", "{}", "null", "\x1b[2J"),
        '{"format":"other","version":1,"pieces":1}',
        '{"format":"benchmate pieces","version":2,"pieces":1}',
        '{"format":"benchmate pieces","version":1,"pieces":2}',
        '{"format":"benchmate pieces","version":1,"pieces":1e999}',
        '{"format":"benchmate pieces","pieces":1}',
    ],
)
def test_a_first_line_that_is_none(exported: Path, home: Path, head: str) -> None:
    _, piece = exported.read_text().splitlines()
    exported.write_text(f"{head}\n{piece}\n")
    refused(home, exported)


def test_a_newer_format_says_so(exported: Path, home: Path) -> None:
    exported.write_text(exported.read_text().replace('"version":1', '"version":2', 1))
    assert "was written by a newer version of benchmate" in refused(home, exported).err


def test_bytes_that_were_changed(exported: Path, home: Path) -> None:
    good = exported.read_bytes()
    (record,) = [line.record for line in read(str(exported))]
    chance = random.Random(20)
    for _ in range(150):
        data = bytearray(good)
        for _ in range(chance.choice([1, 1, 1, 5])):
            at = chance.randrange(len(data))
            match chance.randrange(4):
                case 0:
                    data[at] = chance.randrange(256)
                case 1:
                    del data[at : at + chance.choice([1, 1, 40, 4000])]
                case 2:
                    data[at:at] = chance.randbytes(chance.choice([1, 8]))
                case _:
                    data[at : at + 1] = b'"\\ud800"'
        exported.write_bytes(data)
        if bytes(data).rstrip(b"\n") != good.rstrip(b"\n"):
            done = command("pieces", "--import", exported, home=home)
            if done.status:
                refused(home, exported)
            else:
                # White space between the values means nothing.
                assert [line.record for line in read(str(exported))] == [record]
    assert done_of(home) == {1: 4}


def test_nothing_is_half_taken_in(exported: Path, home: Path, there: Path, band: Path) -> None:
    follow(band, home, 2, "--new")
    lines = export(home, exported).read_text().splitlines()
    changed = document(exported, 2)
    changed["log"][0][2] = 3
    exported.write_text("\n".join([*lines[:2], sealed(changed)]) + "\n")
    done = refused(there, exported)
    assert done.err.startswith(f"{exported}:3:1: this piece cannot be used: its log does not fit its design")
    assert not there.exists()
