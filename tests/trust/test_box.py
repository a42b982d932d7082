"""The box and the gauges survive damage, and come back from copies; files of threads from anywhere do no harm."""

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import NamedTemporaryFile

import pytest
from hypothesis import given
from hypothesis import strategies as some

from benchmate.craft.thread.cut_list import Length
from benchmate.files.safe_text import hidden_in
from benchmate.files.tree import BadFile
from benchmate.store.checksum import OF_THREAD
from benchmate.store.database import Database
from benchmate.store.inspection import damages_in_file
from benchmate.store.places import Home
from benchmate.store.safekeeping.copies import copy_files, read_copy
from benchmate.store.safekeeping.keeping import make_copy
from benchmate.store.thread.box import Box, threads_in
from benchmate.store.thread.box_file import read, written
from benchmate.store.thread.cuts import cuts_of
from benchmate.store.thread.gauges import estimate_of, record
from benchmate.store.thread.measurements_kept import Left, left_of
from tests.charts import seeded
from tests.homes import advised, age, command, done_of, follow, follow_advice, keep_cut, opened
from tests.running import CHART

LEFT = Left(Length("slate", (1,), 940.0), 412.5)
Spoil = Callable[[sqlite3.Connection], object]


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with two pieces, four threads, bookings and two measurements, and a copy of all that."""
    folder = tmp_path_factory.mktemp("box")
    home, band = folder / "home", folder / "rain.yaml"
    band.write_text(CHART, encoding="utf-8")
    assert follow(band, home, 5).status == follow(band, home, 2, "--new").status == 0
    with closing(Database(Home(home))) as database:
        record(database, "floss", [], piece=1, left=[LEFT])
    for words in (
        ("box", "add", "slate", "--colour", "#2f4858", "--skeins", "3"),
        ("box", "add", "rain", "--colour", "#cfe8ef", "--offcut", "--length", "940"),
        ("box", "change", "2", "--length", "6000", "--offcut"),
        ("gauge", "floss", "--used", "40,40,0,0:520", "--used", "38,40,0,2:500"),
        ("gauge", "twine", "--tex", "300"),
    ):
        assert command(*words, home=home).status == 0
    return home


@pytest.fixture
def full(template: Path, home: Path) -> Path:
    """A home of its own like that."""
    shutil.copytree(template, home)
    return home


def state(home: Path) -> tuple[str, str, dict[int, int]]:
    """The box, the gauges and the pieces."""
    found = [command(name, "--json", home=home) for name in ("box", "gauge")]
    assert [(done.status, done.err) for done in found] == [(0, "")] * 2, found
    return found[0].out, found[1].out, done_of(home)


SPOILT: dict[str, tuple[Spoil, str]] = {
    "a thread": (lambda at: at.execute("UPDATE thread SET mm = 9 WHERE thread = 2"), "thread 2 in the box is not"),
    "a thread's text": (
        lambda at: at.execute("UPDATE thread SET name = CAST(x'ff' AS TEXT) WHERE thread = 3"),
        "thread 3 in the box is not",
    ),
    "a booking": (
        lambda at: at.execute("UPDATE booking SET why = 'x' WHERE booking = 3"),
        "a change of the box is not",
    ),
    "a part of a booking": (
        lambda at: at.execute("DELETE FROM booked WHERE thread = 1"),
        "a part of a change of the box",
    ),
    "a measurement": (lambda at: at.execute("UPDATE seen SET mm = 5 WHERE number = 2"), "what was measured is not"),
    "what was left": (lambda at: at.execute("UPDATE left_over SET rest = 5"), "what was left over is not"),
    "a text of what was left": (
        lambda at: at.execute("UPDATE left_over SET colour = CAST(x'ff' AS TEXT)"),
        "what was left over is not",
    ),
    "a session": (lambda at: at.execute("UPDATE session SET gauge = 'wool'"), "what was measured is not"),
    "a session's text": (
        lambda at: at.execute("UPDATE session SET gauge = CAST(x'ff' AS TEXT)"),
        "what was measured is not",
    ),
    "a gauge's text": (lambda at: at.execute("UPDATE gauge SET name = CAST(x'ff' AS TEXT)"), "a gauge is not"),
    "a booking's text": (
        lambda at: at.execute("UPDATE booking SET why = CAST(x'ff' AS TEXT) WHERE booking = 1"),
        "a change of the box is not",
    ),
    "a gauge": (lambda at: at.execute("UPDATE gauge SET thickness = 9"), "a gauge is not"),
}
"""What is damaged, and how the message calls it."""


@pytest.mark.parametrize("what", SPOILT)
def test_a_damaged_row_of_the_box_or_a_gauge_loses_only_itself_and_comes_back(full: Path, what: str) -> None:
    before = state(full)
    spoil, called = SPOILT[what]
    with opened(full / "pieces.db") as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        spoil(connection)
    (damage,) = damages_in_file(full / "pieces.db")
    assert (damage.piece, damage.beside) == (None, True)
    # The pieces can be used, the rest of the box is listed, and both say it.
    assert done_of(full) == before[2]
    listed = command("box", "--json", home=full)
    assert listed.status == 0
    there, found = json.loads(before[0]), json.loads(listed.out)
    assert [thread for thread in there if thread in found] == found
    assert len(there) - len(found) == (what in ("a thread", "a thread's text"))
    assert f"is damaged ({called}" in listed.err
    for words in ["--json"], ["floss"], ["twine"]:
        assert command("gauge", *words, home=full).status == 0
    # A copy made now lacks it, and takes the place of none that has it.
    kept = full.parent / "kept.db"
    done = command("keep", "-o", kept, home=full)
    assert (done.status, done.err.startswith(f"{kept}: 2 pieces, the box and the gauges kept\n")) == (3, True)
    assert read_copy(kept) is not None
    command("box", "add", "later", "--colour", "teal", home=full)
    assert len(copy_files(Home(full))) == 2
    # The advice brings it back, as of the copy that has it; the pieces stay.
    said = command("box", home=full).err
    assert [words[-1] for words in advised(said)] == ["--box"]
    (restored,) = follow_advice(said, full)
    assert "Your pieces stay." in restored.err
    assert state(full) == before
    assert damages_in_file(full / "pieces.db") == []
    with closing(Database(Home(full))) as database:
        assert left_of(database, 1) == [LEFT]


def test_without_a_copy_the_rest_is_used_and_kept(full: Path, tmp_path: Path) -> None:
    shutil.rmtree(full / "copies")
    with opened(full / "pieces.db") as connection:
        connection.execute("UPDATE thread SET mm = 9 WHERE thread = 2")
    done = command("box", home=full)
    assert (done.status, advised(done.err)) == (0, [])
    assert done.err.endswith(
        "No copy here has it. If you have a file from benchmate keep, benchmate restore takes it back.\n"
    )
    kept = tmp_path / "kept.db"
    assert command("keep", "-o", kept, home=full).status == 3
    assert command("restore", kept, home=full, given="yes\n").status == 0
    assert [thread.number for thread in threads_in(Home(full))] == [1, 3, 4]
    assert damages_in_file(full / "pieces.db") == []
    # The number of the lost one is not given again.
    with closing(Database(Home(full))) as database:
        box = Box(database)
        box.take_out(4)
        assert box.add([threads_in(Home(full))[0]]) == [5]


def test_a_damaged_piece_leaves_the_box_and_comes_back_without_it(full: Path) -> None:
    command("box", "take", "1", home=full)
    before = state(full)
    with opened(full / "pieces.db") as connection:
        connection.execute("UPDATE piece SET done = 9 WHERE piece = 1")
    assert (command("box", "--json", home=full).out, command("gauge", "--json", home=full).out) == before[:2]
    done = command("pieces", home=full)
    assert done.status == 3
    (restored,) = follow_advice(done.err, full)
    assert "Your other pieces stay, and so do your box and gauges." in restored.err
    assert state(full) == before


def test_the_box_alone_is_taken_back(full: Path, tmp_path: Path, band: Path) -> None:
    kept = tmp_path / "kept.db"
    assert command("keep", "-o", kept, home=full).status == 0
    before = state(full)
    command("box", "take", "1", "4", home=full)
    command("gauge", "floss", "--used", "40,40,0,0:700", home=full)
    assert follow(band, full, 1).status == 0
    pieces = done_of(full)
    done = command("restore", kept, "--box", home=full, given="yes\n")
    assert (done.status, "  your box, with 4 threads, and your gauges\n" in done.err) == (0, True)
    assert state(full) == (*before[:2], pieces)
    # Undone, as any restoring.
    (again,) = [line.partition("benchmate ")[2].split() for line in done.out.splitlines()]
    assert command(*again, home=full, given="yes\n").status == 0
    assert len(threads_in(Home(full))) == 2


def test_a_copy_without_a_box_has_none_to_give(home: Path, band: Path, tmp_path: Path) -> None:
    follow(band, home, 1)
    kept = tmp_path / "kept.db"
    assert command("keep", "-o", kept, home=home).err == f"{kept}: 1 piece kept\n"
    assert command("restore", kept, "--box", home=home, given="yes\n")[::2] == (
        1,
        f"{kept}: it has no box and no gauges\n",
    )


@pytest.mark.parametrize("words", [("box", "add", "slate", "--colour", "teal"), ("gauge", "twine", "--tex", "300")])
def test_a_home_with_no_pieces_yet_is_neither_refused_nor_lost(home: Path, words: tuple[str, ...], band: Path) -> None:
    assert command(*words, home=home).status == 0
    before = state(home)
    # A copy is there, and the next start finds no piece: that is no reason to refuse it.
    assert len(copy_files(Home(home))) == 1
    age(*home.rglob("*"))
    for _ in range(2):
        assert command("pieces", "--json", home=home)[:2] == (0, "[]\n")
        assert state(home) == before
    # An empty database in its place would hide that it is missing.
    (home / "pieces.db").unlink()
    for lost in ("gone", "empty"):
        done = command("box", home=home)
        assert (done.status, done.out) == (3, ""), lost
        (home / "pieces.db").touch()
    (home / "pieces.db").unlink()
    follow_advice(done.err, home)
    assert state(home) == before
    assert follow(band, home, 1).status == 0
    assert state(home)[:2] == before[:2]


def test_a_copied_and_an_exported_piece_keep_what_was_cut_but_no_thread_of_the_box(full: Path, tmp_path: Path) -> None:
    from benchmate.kept import Kept
    from benchmate.store.thread.cuts import Cut

    cuts = [Cut(Length("slate", (1, 4), 1880.0), 1), Cut(Length("rain", (), 470.5, 2), 4)]
    bare = [Cut(each.length) for each in cuts]
    with closing(Database(Home(full))) as database:
        keep_cut(database, 1, "twine", cuts)
    kept = Kept()
    copied = kept.pieces.copy(1, "the second")
    kept.close()
    other, file = tmp_path / "other", tmp_path / "pieces"
    assert command("pieces", "--export", file, home=full).status == 0
    for _ in range(2):
        assert command("pieces", "--import", file, home=other).status == 0
    with closing(Database(Home(full))) as here, closing(Database(Home(other))) as there:
        assert cuts_of(here, 1) == ("twine", cuts)
        assert cuts_of(here, copied) == ("twine", bare)
        assert cuts_of(there, 1) == ("twine", bare)
        assert cuts_of(there, 2) is None
    assert threads_in(Home(other)) == []


def test_a_deleted_piece_keeps_its_bookings_undoable(full: Path) -> None:
    from benchmate.kept import Kept

    before = threads_in(Home(full))
    with closing(Database(Home(full))) as database:
        Box(database).book("used for a band", {1: 5000.0}, [], 1)
    kept = Kept()
    kept.pieces.arrange(1, "nobody", lambda arrangement: arrangement._replace(deleted=True))
    kept.close()
    assert command("box", "undo", home=full).out == "Undone: used for a band.\n"
    assert threads_in(Home(full)) == before
    assert estimate_of(Home(full), "twine") is not None


# Files of threads.

HOSTILE = some.one_of(
    some.binary(max_size=60),
    some.text(max_size=60).map(lambda text: text.encode("utf-8", "surrogatepass")),
    some.lists(
        some.sampled_from(
            [
                *("name", "colour", "length_mm", "price", "whole", "kind", ",", ",", '"', "\n", "\r\n", "\r", "teal"),
                *("8000", "=1+1", "\x1b[2J", "\u202e", "\0", "1e5", "nan", "-1", "'", ";", "\ufeff", "yes", "\u0663"),
            ]
        ),
        max_size=40,
    ).map(lambda parts: "".join(parts).encode()),
    some.lists(some.sampled_from(["teal", "8000", "=1", "\x07", '"', ",", "\n", "a"]), max_size=30).map(
        lambda parts: ("name,colour,length_mm\n" + "".join(parts)).encode()
    ),
)


@seeded
@given(HOSTILE)
def test_any_file_is_read_or_refused_with_places_in_it(data: bytes) -> None:
    with NamedTemporaryFile(suffix=".csv") as file:
        file.write(data)
        file.flush()
        threads, problems = [], []
        try:
            threads = read(file.name)
        except BadFile as error:
            problems = error.problems
    lines = data.decode("utf-8", "replace").split("\n")
    assert threads == [] or problems == []
    if len(problems) == 1 and "is not UTF-8" in problems[0].message:
        # Nobody knows yet what ends its lines.
        lines = data.decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for problem in problems:
        assert 1 <= problem.line <= len(lines)
        assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
        assert problem.message
        assert not hidden_in(problem.message)
    for thread in threads:
        assert thread.name.strip() == thread.name != ""
        assert not hidden_in(thread.name)
        assert 0 < thread.mm <= 1e7
    assert b"\x1b" not in written(threads)


@pytest.mark.parametrize(
    "text",
    [
        "name,colour,length_mm\n" + '"' * 999_001,
        "name,colour,length_mm\n" + "," * 200_000 + "a",
        "a," * 100_000,
        "\n" * 999_999,
        "name,colour,length_mm\n" + "a" * 990_000,
    ],
)
def test_a_file_as_large_as_allowed_is_refused_in_the_end(text: str, tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(BadFile):
        read(str(file))


# Copies.


def test_no_copy_gives_way_to_one_that_knows_less_of_the_box_or_a_gauge(full: Path) -> None:
    """What the database was before is put in its place, and then another change is made: both have a copy."""
    database = full / "pieces.db"
    for later, other in (
        (("box", "take", "1"), ("box", "take", "2")),
        (("box", "undo"), ("box", "add", "dusk", "--colour", "navy")),
        (("gauge", "floss", "--used", "9,9,0,0:120"), ("gauge", "floss", "--used", "9,9,0,0:130")),
        (("gauge", "twine", "--tex", "400"), ("box", "add", "dawn", "--colour", "navy")),
        (("gauge", "wide-cord", "--tex", "900"), ("box", "add", "noon", "--colour", "navy")),
    ):
        before, copies = database.read_bytes(), len(copy_files(Home(full)))
        for words in later, ("keep", "-o", full.parent / "later.db", "--force"):
            assert command(*words, home=full).status == 0
        make_copy(Home(full))
        known = thread_state(database)
        assert len(copy_files(Home(full))) == copies
        assert known in map(thread_state, copy_files(Home(full)))
        database.write_bytes(before)
        assert command(*other, home=full).status == 0
        make_copy(Home(full))
        states = [*map(thread_state, copy_files(Home(full)))]
        assert known in states, later
        assert thread_state(database) in states
        assert len(states) == copies + 1
        make_copy(Home(full))
        assert len(copy_files(Home(full))) == copies + 1


def thread_state(file: Path) -> list[tuple[object, ...]]:
    """All rows of the box and the gauges."""
    with opened(file) as connection:
        return [row for table in OF_THREAD for row in connection.execute(f"SELECT * FROM {table}").fetchall()]
