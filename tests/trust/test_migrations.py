"""Databases of older versions are migrated completely or not at all, and released migrations never change."""

import hashlib
import os
import shutil
import sqlite3
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from zlib import crc32

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.float_rules import KnotSize
from benchmate.craft.knots import Knot
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cut_list import Length
from benchmate.craft.ways import Way
from benchmate.piece_opening import Kept
from benchmate.plain.in_piece.step_line import current as line_of
from benchmate.store import database, inspection, migrations
from benchmate.store.checksum import checksum
from benchmate.store.database import Database
from benchmate.store.errors import NO_COPY, NO_INTACT_COPY, Damaged, StoreError
from benchmate.store.inspection import damages_in_file
from benchmate.store.migrations import APPLICATION_ID, MIGRATIONS, VERSION
from benchmate.store.places import Home
from benchmate.store.reading import Arrangement, pieces_kept
from benchmate.store.thread.box import Box
from benchmate.store.thread.cuts import Cut, cuts_of
from benchmate.store.thread.gauges import OwnThread, estimate_of, own_thread
from benchmate.store.thread.measurements_kept import Left, left_of
from benchmate.store.thread.new_strings import NewString
from benchmate.store.thread.strings_left import MeasuredString
from tests.homes import events_of
from tests.running import pieces, run

DATA = Path(__file__).with_name("data")
RELEASED = (
    "fdfb8e9c3d9d83e6",
    "e1c0b379d4ab5eab",
    "5803e8be49a428fd",
    "9a229cb292a7893c",
    "16b9f3550f72104b",
    "bac619ecc0e00c0e",
    "0abcd8930dadddcb",
)
"""The beginning of the SHA-256 of every released migration. New ones go at the end; none may change."""


def old_database(file: Path, version: int) -> None:
    """Writes the database of an older version."""
    file.parent.mkdir(parents=True, exist_ok=True)
    connection = sqlite3.connect(file)
    connection.executescript((DATA / f"version-{version}.sql").read_text(encoding="utf-8"))
    connection.close()


def schema(file: Path) -> set[tuple[str, str, str]]:
    """The SQL of every table and trigger, without spaces."""
    connection = sqlite3.connect(file)
    try:
        found = connection.execute("SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL").fetchall()
    finally:
        connection.close()
    return {(kind, name, "".join(sql.split())) for kind, name, sql in found}


def value(file: Path, query: str) -> object:
    connection = sqlite3.connect(file)
    try:
        return connection.execute(query).fetchone()[0]
    finally:
        connection.close()


@pytest.fixture
def file(home: Path) -> Path:
    return home / "pieces.db"


@pytest.fixture
def opened_home(home: Path) -> Home:
    return Home(home)


@pytest.fixture
def design(file: Path, tmp_path: Path) -> Path:
    """The design of the unfinished piece in the oldest database, in another place than its old file."""
    old_database(file, 1)
    connection = sqlite3.connect(file)
    query = "SELECT design, start FROM copy WHERE piece = 2 ORDER BY number DESC LIMIT 1"
    text, start = connection.execute(query).fetchone()
    connection.close()
    (tmp_path / "weir-loop.yaml").write_text(start)
    design = tmp_path / "moved.yaml"
    design.write_text(text)
    return design


def test_released_migrations_never_change() -> None:
    hashes = [hashlib.sha256(each.encode()).hexdigest()[:16] for each in MIGRATIONS]
    assert hashes[: len(RELEASED)] == list(RELEASED)


def test_checksums_never_change() -> None:
    # A database that has these would otherwise be called damaged. The texts are what they are the CRC of.
    for values, text in (
        ((), b"()"),
        ((1,), b"(1,)"),
        ((-1, "Dusk over the weir", None, b"\x00\xff'"), rb"""(-1, 'Dusk over the weir', None, b"\x00\xff'")"""),
        (('quo"te', "quo'te", "'\""), rb"""('quo"te', "quo'te", '\'"')"""),
        (("schräg \U0001f9f5 \n\x1b",), rb"('schr\xe4g \U0001f9f5 \n\x1b',)"),
    ):
        assert checksum(*values) == crc32(text)


def test_there_is_test_data_for_every_version() -> None:
    assert {file.name for file in DATA.glob("version-*.sql")} == {
        f"version-{version}.sql" for version in range(1, VERSION + 1)
    }


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_every_version_is_migrated_to_this_one(opened_home: Home, file: Path, tmp_path: Path, version: int) -> None:
    old_database(file, version)
    assert value(file, "PRAGMA user_version") == version
    Database(opened_home).close()
    assert value(file, "PRAGMA user_version") == VERSION
    assert value(file, "PRAGMA application_id") == APPLICATION_ID
    assert value(file, "PRAGMA integrity_check") == "ok"
    assert damages_in_file(file) == []
    fresh = Home(tmp_path / "fresh")
    Database(fresh).close()
    assert schema(file) == schema(fresh.database)


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_pieces_of_every_version_are_listed_without_changing_it(opened_home: Home, file: Path, version: int) -> None:
    old_database(file, version)
    before = file.read_bytes()
    listed = pieces_kept(opened_home)
    assert file.read_bytes() == before
    assert list(file.parent.iterdir()) == [file]
    Database(opened_home).close()
    assert pieces_kept(opened_home) == listed
    assert len(listed) >= 2


@pytest.mark.parametrize("version", range(1, 4))
def test_pieces_before_version_4_are_neither_renamed_nor_aside_nor_deleted(home: Path, version: int) -> None:
    old_database(home / "pieces.db", version)
    assert {piece.arrangement for piece in pieces_kept(Home(home))} == {Arrangement()}


def test_a_piece_damaged_before_the_migration_stays_known_as_damaged(opened_home: Home, file: Path) -> None:
    old_database(file, 3)
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE piece SET done = 13 WHERE piece = 3")
        connection.commit()
    Database(opened_home).close()
    assert [damage.piece for damage in damages_in_file(file)] == [3]


OTHER_TABLES = {
    "a column is missing": (6, "ALTER TABLE measured DROP COLUMN by_eye"),
    "a column that the migration needs is missing": (5, "ALTER TABLE event RENAME COLUMN sum TO total"),
    "there is one more column": (3, "ALTER TABLE piece ADD COLUMN more TEXT"),
    "a table is missing": (6, "DROP TABLE knot_size"),
    "a trigger is missing": (6, "DROP TRIGGER event_is_never_removed"),
    "with a write-ahead log": (6, "PRAGMA journal_mode = WAL; ALTER TABLE measured DROP COLUMN by_eye"),
}
"""What can be wrong with the tables of an older version, and a script that makes it so."""


@pytest.mark.parametrize("copied", [True, False])
@pytest.mark.parametrize("wrong", OTHER_TABLES)
def test_a_database_with_other_tables_is_refused_and_not_changed(
    opened_home: Home, file: Path, wrong: str, copied: bool
) -> None:
    version, script = OTHER_TABLES[wrong]
    old_database(file, version)
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(script)
    if copied:
        opened_home.copies.mkdir()
        shutil.copy(file, opened_home.copies / "pieces-2026-11-25.db")
    before = file.read_bytes()
    with pytest.raises(Damaged) as raised:
        Database(opened_home)
    assert raised.value.text == (
        f"{file} is damaged (its tables are not as this program makes them). Nothing was changed or deleted."
    )
    assert raised.value.advice.startswith(NO_INTACT_COPY if copied else NO_COPY)
    assert file.read_bytes() == before


def test_an_intact_copy_of_a_database_with_other_tables_is_named(opened_home: Home, file: Path) -> None:
    old_database(file, 6)
    opened_home.copies.mkdir()
    copy = opened_home.copies / "pieces-2026-11-25.db"
    shutil.copy(file, copy)
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("ALTER TABLE measured DROP COLUMN by_eye")
    with pytest.raises(Damaged) as raised:
        Database(opened_home)
    assert raised.value.commands == (f"benchmate restore {copy}",)


def test_pieces_of_version_4_are_kept_as_their_maker_keeps_them(file: Path, home: Path) -> None:
    old_database(file, 4)
    kept = Kept()
    try:
        assert [(row.piece, row.title, row.done, row.arrangement) for row in kept.pieces.all()] == [
            (4, "For Ånna, the second", 6, Arrangement("For Ånna, the second", aside=True, changes=1)),
            (3, "Lamp on the weir", 1, Arrangement(deleted=True, changes=1)),
            (2, "A line for the ferry", 2, Arrangement()),
            (1, "For Ånna, the blue one", 6, Arrangement("For Ånna, the blue one", changes=1)),
        ]
        renamed, copied = [openings.resume_listed(kept, kept.pieces.get(piece)).held for piece in (1, 4)]
        assert list(renamed.progress.history) == list(copied.progress.history) == list(renamed.order.sequence[:6])
        assert not copied.needs_plan
        copied.hold()
        copied.finish_step()
        # Work takes it back among the pieces to continue.
        assert kept.pieces.get(4).arrangement == Arrangement("For Ånna, the second", changes=2)
    finally:
        kept.close()
    assert sorted(piece["piece"] for piece in pieces(home)) == [1, 2, 4]
    assert damages_in_file(file) == []


def test_a_piece_of_version_1_resumes_at_the_right_knot(design: Path, home: Path) -> None:
    kept = Kept()
    try:
        found = openings.follow(kept, str(design), openings.NO_OPTIONS, new=False)
        held = found.held
        held.hold()
        # According to the log: ten steps tied, the fifth marked wrong, the tenth undone on the way to it.
        assert (found.resumed, held.piece, found.changed, found.mismatch) == (True, 2, (), None)
        assert list(held.progress.history) == list(range(9))
        assert (held.wrong, held.taken_out, held.progress.next) == (4, [9], 9)
        # By hand: knot 5 is 4 over 3; all later knots rest on its strings.
        assert held.must_come_out() == [8, 7, 6, 5, 4]
        assert (held.whole.size, held.copy.repeats, held.title) == (18, 5, "Dusk over the weir")
        held.back()
        held.unmark_wrong()
        assert list(held.progress.history) == list(range(10))
        assert [event.number for event in events_of(kept.pieces, 2)] == list(range(1, 25))
    finally:
        kept.close()


def test_a_database_of_version_1_from_the_command_line(design: Path, home: Path, file: Path) -> None:
    assert [(piece["piece"], piece["done"], piece["of"], piece["finished"]) for piece in pieces(home)] == [
        (2, 9, 18, False),
        (1, 3, 3, True),
    ]
    assert [piece["started"] for piece in pieces(home)] == ["2026-11-24T07:33:00Z", "2026-11-24T07:30:00Z"]
    done = run("follow", design, "--plain", home=home, given="\n" * 6)
    assert done.status == 0
    assert done.err.startswith("A knot is marked wrong. Undo 5 knots to reach it, last first")
    assert [line.split()[0] for line in done.out.splitlines()] == [
        "9/18",
        "8/18",
        "7/18",
        "6/18",
        "5/18",
        "5/18",
        "6/18",
    ]
    assert pieces(home)[0]["done"] == 5
    assert value(file, "PRAGMA user_version") == VERSION


def test_a_piece_of_version_1_is_worked_by_rows_and_not_mirrored(design: Path, home: Path) -> None:
    assert {piece["by"] for piece in pieces(home)} == {"rows"}
    assert not any({"from", "mirrored"} & set(piece) for piece in pieces(home))
    kept = Kept()
    try:
        held = openings.resume_listed(kept, kept.pieces.get(2)).held
        held.hold()
        held.unmark_wrong()
        held.change_way("segments", from_right=True)
        assert held.use_plan(held.plan())
        assert list(held.order.sequence[:9]) == list(held.progress.history) == list(range(9))
    finally:
        kept.close()


def test_a_piece_of_version_2_keeps_its_plan(file: Path, home: Path) -> None:
    old_database(file, 2)
    kept = Kept()
    try:
        found = [openings.resume_listed(kept, kept.pieces.get(piece)).held for piece in (1, 2)]
        assert [held.way for held in found] == [Way("segments", mirrored=True), Way("rows", from_right=True)]
        planned, rows = found
        # As recorded with the data: the tied steps in the order of the plan, and the next step.
        assert list(planned.progress.history) == [0, 1, 3, 4, 6, 2, 5] == list(planned.order.sequence[:7])
        planned.hold()
        assert not planned.needs_plan
        assert (line_of(planned) or "").startswith(
            "8/21 forward, 2 lamp light over 3 lamp light, they change places; row 5; "
        )
        assert list(rows.progress.history) == [1, 0, 3]
        assert line_of(rows) == "4/21 forward, 2 tar over 3 tar, they change places; row 2"
    finally:
        kept.close()


def test_pieces_of_version_3_go_on(file: Path, home: Path) -> None:
    old_database(file, 3)
    kept = Kept()
    try:
        assert [(row.piece, row.done, row.size, row.holder) for row in kept.pieces.all()] == [
            (3, 2, 14, None),
            (2, 7, 7, None),
            (1, 7, 28, "5f2c9a0b7d31e846"),
        ]
        planned, finished, left = [openings.resume_listed(kept, kept.pieces.get(piece)).held for piece in (1, 2, 3)]
        # According to the log: nine steps tied in the order of the plan, the fourth marked wrong, two undone since.
        assert planned.way == Way("segments", mirrored=True)
        assert list(planned.order.sequence[:9]) == [1, 0, 3, 2, 4, 5, 8, 6, 7]
        assert list(planned.progress.history) == [1, 0, 3, 2, 4, 5, 8]
        assert (planned.wrong, planned.taken_out, planned.must_come_out()) == (2, [7, 6], [4, 2])
        # Its second design copy has another title.
        assert (finished.title, finished.progress.finished) == ("Bell buoy at dusk", True)
        assert kept.pieces.get(3).file == os.fsdecode(b"/gone/s\xe9maphore.yaml")
        assert (left.way, list(left.progress.history)) == (Way("rows", from_right=True), [1, 0])
        assert line_of(left) == "3/14 forward, 4 wet sand over 5 wet sand, they change places; row 2"
        for held in planned, left:
            held.hold()
            held.finish_step()
    finally:
        kept.close()
    assert damages_in_file(file) == []


def test_version_5_keeps_the_box_the_gauges_and_what_was_cut(file: Path, home: Path) -> None:
    old_database(file, 5)
    kept = Kept()
    try:
        database = kept.pieces._database
        box = Box(database)
        tar = BoxThread(2, "tar from the pier", "#22252b", "twine", 8000.0, True, Decimal("1.20"))
        offcut = tar._replace(number=4, mm=412.5, whole=False)
        assert box.threads() == [tar._replace(number=1, mm=6120.0, whole=False), tar, offcut]
        assert box.last_booking() == (4, "used for Buoys in a row")
        assert cuts_of(database, 1) == (
            "twine",
            [
                Cut(Length("tar", (1, 4), 1880.0), 1),
                Cut(Length("lamp", (2,), 940.0), 2),
                Cut(Length("lamp", (3,), 940.0)),
            ],
        )
        assert cuts_of(database, 2) == (
            "floss",
            [Cut(Length("deep", (1,), 300.0)), Cut(Length("foam", (), 470.0, 1), 3)],
        )
        assert kept.pieces.knot_size_of(2) == KnotSize(2.25, 1.75)
        # According to what was recorded: two strings of twine; one of floss, as the other session was taken back.
        estimates = [estimate_of(Home(home), name) for name in ("twine", "floss")]
        assert [estimate and estimate.gauge.seen for estimate in estimates] == [2, 1]
        assert own_thread(Home(home), "twine") == OwnThread(0.9, slippery=True)
        assert left_of(database, 1) == [
            Left(Length("tar", (1, 4), 1880.0), 412.5),
            Left(Length("lamp", (2,), 990.0), None),
        ]
        # Every change is undone, the one that was undone then is not undone again.
        undone = []
        while (last := box.last_booking()) is not None:
            box.undo(last[0])
            undone.append([(thread.number, thread.mm) for thread in box.threads()])
        assert undone == [[(1, 8000.0), (2, 8000.0), (3, 2345.6)], [(1, 8000.0), (2, 8000.0)], []]
        assert box.add([tar]) == [5]
    finally:
        kept.close()
    assert damages_in_file(file) == []


def test_version_6_keeps_what_was_really_made_and_what_was_left_of_strings(file: Path, home: Path) -> None:
    old_database(file, 6)
    kept = Kept()
    try:
        steps, lamp = [openings.resume_listed(kept, kept.pieces.get(piece)).held for piece in (1, 2)]
        # According to the log: two of the start, six knots, one of them backward for forward and the last left out;
        # two later ones are to mend that.
        assert (steps.made, steps.mistakes) == ({5: Knot.FORWARD, 7: None}, {5: Knot.FORWARD, 7: None})
        assert steps.changes == {11: Knot.FORWARD_BACKWARD, 12: None}
        assert list(steps.progress.history) == [*range(8)]
        at = "2026-11-26T15:10:09.000Z", "2026-11-26T15:10:10.000Z"
        assert steps.measured == {
            2: MeasuredString(8, 415.5, joined=False, by_eye=True, at=at[0]),
            4: MeasuredString(8, 1200.0, joined=True, by_eye=False, at=at[1]),
        }
        assert (lamp.made, lamp.wrong, lamp.must_come_out()) == ({0: Knot.BACKWARD}, 0, [0])
        for held in steps, lamp:
            held.hold()
            held.finish_step()
        assert lamp.made == {}
    finally:
        kept.close()
    assert damages_in_file(file) == []


def test_version_7_keeps_new_strings_and_lengths_ticked_off(file: Path, home: Path) -> None:
    old_database(file, 7)
    kept = Kept()
    try:
        gate, wall = [openings.resume_listed(kept, kept.pieces.get(piece)).held for piece in (1, 2)]
        at = [f"2026-11-26T17:40:{second}.000Z" for second in (17, 18, 19)]
        before = MeasuredString(14, 90.0, joined=False, by_eye=False, at=at[0])
        assert gate.new_strings == [
            NewString(1, 9, "pear", 500.0, 2, before, at[1]),
            NewString(3, 13, "bark", 450.0, None, None, at[2]),
        ]
        assert {string: (each.mm, each.done, each.joined) for string, each in gate.measured.items()} == {
            1: (410.0, 11, True),
            3: (360.0, 14, True),
        }
        assert wall.ticked == [Cut(Length("clay", (1,), 330.0)), Cut(Length("clay", (4,), 330.0))]
        assert (wall.progress.done, wall.was_cut) == (0, None)
        for held in gate, wall:
            held.hold()
            held.finish_step()
        gate.take_new_string_back(1)
        assert gate.measured[1][:2] == (14, 90.0)
    finally:
        kept.close()
    assert damages_in_file(file) == []


TORN = {"another step": "first = 5", "another piece": "piece = 77", "a text that is none": "at = CAST(x'ff' AS TEXT)"}
"""What damage may leave in a row of a log without SQLite's own check seeing it."""


@pytest.mark.parametrize("torn", TORN)
def test_a_damaged_log_is_known_as_damaged_after_the_migration_and_takes_nothing_with_it(
    opened_home: Home, file: Path, torn: str
) -> None:
    old_database(file, 5)
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        triggers = connection.execute("SELECT sql FROM sqlite_schema WHERE name = 'event_is_never_changed'").fetchone()
        connection.execute("DROP TRIGGER event_is_never_changed")
        connection.execute(f"UPDATE event SET {TORN[torn]} WHERE piece = 1 AND number = 2")
        connection.execute(*triggers)
    Database(opened_home).close()
    assert value(file, "PRAGMA user_version") == VERSION
    assert [damage.piece for damage in damages_in_file(file)] == [1]


def test_a_long_log_is_migrated_in_proportion_to_its_length(opened_home: Home, file: Path) -> None:
    old_database(file, 5)
    with closing(sqlite3.connect(file)) as connection:
        connection.create_function("checksum", -1, checksum, deterministic=True)
        connection.execute(
            "WITH RECURSIVE counted(n) AS (SELECT 6 UNION ALL SELECT n + 1 FROM counted WHERE n < 30000)"
            " INSERT INTO event SELECT 1, n, 'x', 'tie', n, n, checksum(1, n, 'x', 'tie', n, n) FROM counted"
        )
        before = connection.execute("SELECT *, typeof(sum) FROM event").fetchall()
        connection.commit()
    steps = 0

    def count() -> int:
        nonlocal steps
        steps += 1
        return 0

    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.set_progress_handler(count, 1000)
        connection.execute("BEGIN")
        migrations.migrate(connection)
        connection.execute("COMMIT")
        assert connection.execute("SELECT *, typeof(sum) FROM event").fetchall() == before
    # Some hundred instructions of the database for each entry.
    assert steps * 1000 < 200 * len(before)


NEXT = "ALTER TABLE piece ADD COLUMN remark TEXT;\nCREATE TABLE clasp (name TEXT PRIMARY KEY) STRICT;\n"


def add_version(monkeypatch: pytest.MonkeyPatch, script: str) -> None:
    """Adds one more version."""
    monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, script))
    for module in migrations, inspection, database:
        monkeypatch.setattr(module, "VERSION", VERSION + 1)


@pytest.fixture
def next_version(monkeypatch: pytest.MonkeyPatch) -> None:
    """Adds one more version."""
    add_version(monkeypatch, NEXT)


@pytest.mark.usefixtures("design", "next_version")
def test_migrating_to_a_later_version_keeps_everything(opened_home: Home, file: Path) -> None:
    with closing(Database(opened_home)) as opened:
        connection = opened.connection
        assert connection.execute("SELECT piece, done, remark FROM piece").fetchall() == [(1, 3, None), (2, 9, None)]
        assert connection.execute("SELECT count(*) FROM event").fetchone() == (25,)
        assert connection.execute("SELECT count(*) FROM clasp").fetchone() == (0,)
    assert value(file, "PRAGMA user_version") == VERSION + 1


@pytest.mark.usefixtures("next_version")
def test_a_new_database_is_made_by_all_migrations(opened_home: Home, file: Path) -> None:
    with closing(Database(opened_home)) as opened:
        assert opened.connection.execute("SELECT count(remark) FROM piece").fetchone() == (0,)
    assert value(file, "PRAGMA user_version") == VERSION + 1


@pytest.mark.usefixtures("design")
def test_a_failing_migration_leaves_the_old_version(
    opened_home: Home, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = schema(file)
    add_version(monkeypatch, NEXT + "INSERT INTO nowhere VALUES (1);\n")
    with pytest.raises(StoreError, match="no such table: nowhere"):
        Database(opened_home)
    assert schema(file) == before
    assert value(file, "PRAGMA user_version") == 1
    monkeypatch.undo()
    Database(opened_home).close()
    assert value(file, "SELECT count(*) FROM event") == 25


@pytest.mark.usefixtures("next_version")
def test_a_database_of_a_newer_version_is_refused_and_unchanged(
    design: Path, opened_home: Home, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Database(opened_home).close()
    monkeypatch.undo()
    before = file.read_bytes()
    with pytest.raises(StoreError, match=rf"its data is version {VERSION + 1}, this program reads up to {VERSION}"):
        Database(Home(file.parent))
    assert file.read_bytes() == before
