"""Copies of the database: one for each day of work, never replaced by one that knows less."""

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

import pytest

from benchmate.craft.ways import Way
from benchmate.store import pieces as pieces_module
from benchmate.store.checksum import add_checksum, seal
from benchmate.store.errors import Damaged, StoreError
from benchmate.store.holders import lock_of
from benchmate.store.inspection import damages_in_file
from benchmate.store.log import LogEnd
from benchmate.store.pieces import Pieces
from benchmate.store.places import Home
from benchmate.store.reading import Copy, pieces_kept
from benchmate.store.safekeeping.copies import copy_files, intact_copies, read_copy
from benchmate.store.safekeeping.keeping import COPYING, GENERATIONS, make_copy
from tests.homes import old_database, opened

TIE = [("tie", 0, 0)]


class Work:
    """Works on pieces on days of the test's choosing."""

    def __init__(self, home: Home, patch: pytest.MonkeyPatch) -> None:
        self.home = home
        self._patch = patch
        self._ends: dict[int, LogEnd] = {}

    def on(self, day: str, piece: int | None = None, at: str = "07:30:00") -> int:
        """Adds a step to a piece, or begins one; returns its number."""
        self._patch.setattr(pieces_module, "utc_now", lambda: f"{day}T{at}.000Z")
        with closing(Pieces(self.home)) as pieces:
            if piece is None:
                copy = Copy("the design", None, None, 1)
                piece, end = pieces.begin("Rain", "/rain.yaml", Way(), None, 900, copy, "me", None, TIE, 1)
            else:
                pieces.hold(piece, "me", force=True)
                seen = self._ends[piece]
                end = pieces.add(piece, "me", "/rain.yaml", seen, [("tie", seen.number, seen.number)], seen.number + 1)
            self._ends[piece] = end
        return piece

    def copied(self, day: str, piece: int | None = None, at: str = "07:30:00") -> int:
        """Works, and copies it."""
        piece = self.on(day, piece, at)
        assert make_copy(self.home) is not None
        return piece

    def back_to(self, database: Path) -> None:
        """Another program puts an older database in place."""
        shutil.copy(database, self.home.database)
        with closing(Pieces(self.home)) as pieces:
            self._ends = {piece.piece: pieces.log_end(piece.piece, piece.entries) for piece in pieces.all()}


@pytest.fixture
def at(home: Path) -> Home:
    return Home(home)


@pytest.fixture
def work(at: Home, monkeypatch: pytest.MonkeyPatch) -> Work:
    return Work(at, monkeypatch)


def names(home: Home) -> list[str]:
    """The names of all copies, the newest first."""
    return [file.name for file in copy_files(home)]


def done(file: Path) -> dict[int, int]:
    """How many steps of each piece in a copy are done."""
    content = read_copy(file)
    assert content is not None
    return {piece: known.done for (piece, _), known in content.pieces.items()}


@pytest.fixture
def unchanged(at: Home) -> Iterator[Callable[[], None]]:
    """Remembers all copies there are when it is called; in the end, each must still know what it did."""
    before: dict[Path, bytes] = {}
    yield lambda: before.update({file: file.read_bytes() for file in copy_files(at)})
    assert before
    for file, content in before.items():
        assert file.read_bytes() == content, file


def test_there_is_nothing_to_copy_before_the_first_piece(at: Home) -> None:
    Pieces(at).close()
    assert make_copy(at) is None
    assert not at.copies.exists()


def test_a_copy_has_the_day_of_the_last_change(at: Home, work: Work) -> None:
    piece = work.copied("2026-03-04")
    assert names(at) == ["pieces-2026-03-04.db"]
    # No copy is made of what a copy knows already.
    assert make_copy(at) is None
    work.copied("2026-03-04", piece, at="21:00:00")
    work.copied("2026-03-06", piece)
    assert names(at) == ["pieces-2026-03-06.db", "pieces-2026-03-04.db"]
    assert done(at.copies / "pieces-2026-03-04.db") == {piece: 2}
    assert done(at.copies / "pieces-2026-03-06.db") == {piece: 3}
    (newest, older) = intact_copies(at)
    assert (newest.moment, older.moment) == ("2026-03-06 07:30 UTC", "2026-03-04 21:00 UTC")


@pytest.mark.parametrize("day", ["9998-01-01", "2999-12-31", "../../away", "\x1b[2J..../"])
def test_a_day_that_cannot_be_is_today(at: Home, work: Work, day: str) -> None:
    piece = work.copied("2026-03-04")
    work.on("2026-03-05", piece)
    with opened(at.database) as connection:
        add_checksum(connection)
        connection.execute("UPDATE piece SET touched = ?", (f"{day}T07:30:00.000Z",))
        connection.execute(seal("piece"))
    today = f"pieces-{datetime.now(UTC):%Y-%m-%d}.db"
    assert make_copy(at) is not None
    assert names(at)[0] >= today
    assert len(names(at)) == 2
    assert {file.name for file in at.folder.iterdir()} == {"copies", "open", "pieces.db"}


def test_a_copy_is_one_whole_file(at: Home, work: Work) -> None:
    work.copied("2026-03-04")
    (copy,) = copy_files(at)
    with opened(copy) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert [file.name for file in at.copies.iterdir()] == [copy.name]
    assert copy.stat().st_mode & 0o077 == 0 or at.copies.stat().st_mode & 0o077 == 0


def test_an_older_database_replaces_no_copy(
    at: Home, work: Work, tmp_path: Path, unchanged: Callable[[], None]
) -> None:
    piece = work.copied("2026-03-04")
    shutil.copy(at.database, tmp_path / "older.db")
    work.copied("2026-03-04", piece, at="09:00:00")
    unchanged()
    work.back_to(tmp_path / "older.db")
    assert make_copy(at) is not None
    assert names(at) == ["pieces-2026-03-04-2.db", "pieces-2026-03-04.db"]
    assert make_copy(at) is None


def test_a_diverged_log_replaces_no_copy(at: Home, work: Work, tmp_path: Path, unchanged: Callable[[], None]) -> None:
    piece = work.copied("2026-03-04")
    shutil.copy(at.database, tmp_path / "older.db")
    work.copied("2026-03-04", piece, at="09:00:00")
    unchanged()
    work.back_to(tmp_path / "older.db")
    # Further than the other, but by another way.
    work.on("2026-03-04", piece, at="10:00:00")
    work.copied("2026-03-04", piece, at="11:00:00")
    assert done(at.copies / "pieces-2026-03-04-2.db") == {piece: 3}
    # From here on, that one is replaced, and the other stays.
    work.copied("2026-03-04", piece, at="12:00:00")
    assert names(at) == ["pieces-2026-03-04-2.db", "pieces-2026-03-04.db"]
    assert done(at.copies / "pieces-2026-03-04-2.db") == {piece: 4}


def test_fewer_pieces_replace_no_copy(at: Home, work: Work, tmp_path: Path, unchanged: Callable[[], None]) -> None:
    first = work.copied("2026-03-04")
    shutil.copy(at.database, tmp_path / "older.db")
    work.copied("2026-03-04", at="08:00:00")
    unchanged()
    work.back_to(tmp_path / "older.db")
    work.copied("2026-03-04", first, at="12:00:00")
    assert done(at.copies / "pieces-2026-03-04-2.db") == {1: 2}


def test_another_piece_of_the_same_number_replaces_no_copy(at: Home, work: Work, unchanged: Callable[[], None]) -> None:
    work.copied("2026-03-04")
    unchanged()
    at.database.unlink()
    shutil.move(at.copies, at.folder / "elsewhere")
    work.on("2026-03-04", at="08:00:00")
    shutil.move(at.folder / "elsewhere", at.copies)
    assert make_copy(at) == at.copies / "pieces-2026-03-04-2.db"


EMPTIED: dict[str, Callable[[Home], object]] = {
    "nothing": lambda at: at.database.write_bytes(b""),
    "a database without tables": lambda at: without_tables(at.database),
    "another machine's": lambda at: shutil.copy(fresh(at), at.database),
}


def without_tables(file: Path) -> None:
    """What is left of a database of an earlier version whose write-ahead log was lost."""
    file.unlink()
    with opened(file) as connection:
        connection.execute("PRAGMA journal_mode = WAL")


def fresh(at: Home) -> Path:
    """A database in which nothing has been begun."""
    other = Home(at.folder.with_name("other"))
    Pieces(other).close()
    return other.database


@pytest.mark.parametrize("emptied", EMPTIED)
def test_an_emptied_database_is_not_taken_for_a_new_one(
    at: Home, work: Work, unchanged: Callable[[], None], emptied: str
) -> None:
    work.copied("2026-03-04")
    unchanged()
    EMPTIED[emptied](at)
    for _ in range(2):
        with pytest.raises(StoreError, match=r"is missing or empty.* as of 2026-03-04 07:30 UTC: benchmate restore "):
            Pieces(at)
        with pytest.raises(StoreError, match="is missing or empty"):
            pieces_kept(at)
    with suppress(StoreError):
        make_copy(at)


def test_a_database_with_its_rows_deleted_replaces_no_copy(at: Home, work: Work, unchanged: Callable[[], None]) -> None:
    work.copied("2026-03-04")
    unchanged()
    with opened(at.database) as connection:
        (trigger,) = connection.execute("SELECT sql FROM sqlite_schema WHERE name LIKE '%removed'").fetchone()
        connection.executescript(
            "PRAGMA foreign_keys = OFF; DROP TRIGGER event_is_never_removed;"
            f" DELETE FROM event; DELETE FROM copy; DELETE FROM piece; {trigger};"
        )
    assert make_copy(at) is None


def test_a_damaged_database_is_not_copied(at: Home, work: Work, unchanged: Callable[[], None]) -> None:
    piece = work.copied("2026-03-04")
    work.on("2026-03-05", piece)
    unchanged()
    with opened(at.database) as connection:
        connection.execute("UPDATE piece SET done = 7")
    with pytest.raises(StoreError, match=r"Piece 1 in .* is damaged"):
        make_copy(at)
    assert names(at) == ["pieces-2026-03-04.db"]


def test_the_copy_of_earlier_versions_goes_once_it_is_covered(at: Home, work: Work) -> None:
    old_database(at.database)
    old_database(at.old_copy)
    assert make_copy(at) == at.copies / "pieces-2026-11-25.db"
    assert names(at) == ["pieces-2026-11-25.db"]
    assert {file.name for file in at.folder.iterdir()} == {"copies", "open", "pieces.db"}


def test_the_copy_of_earlier_versions_stays_while_only_it_knows_something(
    at: Home, work: Work, tmp_path: Path, unchanged: Callable[[], None]
) -> None:
    old_database(at.database)
    shutil.copy(at.database, tmp_path / "older.db")
    work.back_to(tmp_path / "older.db")
    work.on("2026-11-26", 2)
    shutil.copy(at.database, at.old_copy)
    unchanged()
    shutil.copy(tmp_path / "older.db", at.database)
    assert make_copy(at) is not None
    assert names(at) == ["pieces-2026-11-25.db", "pieces-copy.db"]


def test_ten_days_of_work_have_a_copy(at: Home, work: Work) -> None:
    piece = work.copied("2026-03-01")
    for day in range(2, 15):
        work.copied(f"2026-03-{day:02}", piece)
    assert names(at) == [f"pieces-2026-03-{day:02}.db" for day in range(14, 14 - GENERATIONS, -1)]


def test_pruning_keeps_what_no_newer_copy_knows(at: Home, work: Work, tmp_path: Path) -> None:
    first = work.copied("2026-03-01")
    shutil.copy(at.database, tmp_path / "older.db")
    lost = work.copied("2026-03-02")
    work.back_to(tmp_path / "older.db")
    (at.copies / "pieces-2026-02-20.db").write_bytes(b"damaged")
    (at.copies / "notes.txt").write_text("mine")
    for day in range(3, 3 + GENERATIONS + 3):
        work.copied(f"2026-03-{day:02}", first)
    kept = names(at)
    assert kept[GENERATIONS:] == ["pieces-2026-03-02.db", "pieces-2026-02-20.db"]
    assert done(at.copies / "pieces-2026-03-02.db") == {first: 1, lost: 1}
    assert (at.copies / "notes.txt").read_text() == "mine"


def test_a_damaged_copy_is_neither_replaced_nor_offered(at: Home, work: Work, unchanged: Callable[[], None]) -> None:
    piece = work.copied("2026-03-04")
    copy = at.copies / "pieces-2026-03-04.db"
    with opened(copy) as connection:
        add_checksum(connection)
        connection.execute("UPDATE piece SET done = 9")
    unchanged()
    work.copied("2026-03-04", piece, at="08:00:00")
    assert [content.file.name for content in intact_copies(at)] == ["pieces-2026-03-04-2.db"]
    # With the right checksum it would be taken for an intact one.
    with opened(copy) as connection:
        add_checksum(connection)
        shutil.copy(copy, at.folder / "sealed.db")
    with opened(at.folder / "sealed.db") as connection:
        add_checksum(connection)
        connection.execute(seal("piece"))
    assert read_copy(at.folder / "sealed.db") is not None


def test_a_copy_with_more_in_it_than_tables_is_none(at: Home, work: Work) -> None:
    work.copied("2026-03-04")
    (copy,) = copy_files(at)
    with opened(copy) as connection:
        connection.execute("CREATE TRIGGER later AFTER INSERT ON piece BEGIN DELETE FROM plan; END")
    assert read_copy(copy) is None


def test_only_one_window_copies_at_a_time(at: Home, work: Work) -> None:
    work.on("2026-03-04")
    at.holders.mkdir(exist_ok=True)
    lock = lock_of(at.holders / COPYING)
    assert lock is not None
    assert make_copy(at) is None
    lock.close()
    assert make_copy(at) is not None


def test_a_copy_that_cannot_be_made_says_so_and_leaves_nothing(at: Home, work: Work) -> None:
    work.on("2026-03-04")
    at.copies.write_text("a file")
    with pytest.raises(StoreError, match=r"could not be made .* Your pieces are safe"):
        make_copy(at)
    assert at.copies.read_text() == "a file"
    assert not list(at.folder.glob("*.new"))


def test_reading_a_copy_leaves_no_file_beside_it(at: Home) -> None:
    at.folder.mkdir()
    with closing(sqlite3.connect(at.old_copy, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.executescript("CREATE TABLE recipe (name)")
    assert read_copy(at.old_copy) is None
    assert [file.name for file in at.folder.iterdir()] == ["pieces-copy.db"]


@pytest.mark.parametrize("copied", [False, True])
def test_a_home_without_pieces_is_no_loss(home: Path, band: Path, copied: bool) -> None:
    # Earlier versions made their daily copy also of a database in which nothing had been begun.
    Pieces(Home(home)).close()
    if copied:
        shutil.copy(home / "pieces.db", home / "pieces-copy.db")
        assert make_copy(Home(home)) is None
    assert pieces_kept(Home(home)) == []
    (home / "pieces.db").unlink()
    assert pieces_kept(Home(home)) == []
    with closing(Pieces(Home(home))) as pieces:
        assert pieces.all() == []


def test_a_folder_for_copies_says_that_there_were_pieces(home: Path) -> None:
    Pieces(Home(home)).close()
    (home / "copies").mkdir()
    (home / "pieces.db").write_bytes(b"")
    with pytest.raises(StoreError, match=r"is missing or empty\. Nothing was changed\. No copy of it can be read here"):
        pieces_kept(Home(home))


def test_rows_that_are_not_in_their_order_are_damage(home: Path) -> None:
    with closing(Pieces(Home(home))) as pieces:
        events = [("tie", 0, 0), ("untie", 0, 0)] * 1000
        copy = Copy("the design", None, None, 1)
        pieces.begin("Rain", "/rain.yaml", Way(), None, 9, copy, "me", None, [*events, ("tie", 0, 0)], 1)
    copied = make_copy(Home(home))
    assert copied is not None
    before = copied.read_bytes()
    pages = [before[at : at + 4096] for at in range(0, len(before), 4096)]
    # Two full leaves of the log, which is kept as an index: https://www.sqlite.org/fileformat2.html#b_tree_pages
    first, second = [at for at, page in enumerate(pages) if page[0] == 0x0A and page.count(b"untie") > 20][:2]
    pages[first], pages[second] = pages[second], pages[first]
    (home / "pieces.db").write_bytes(b"".join(pages))
    with closing(Pieces(Home(home))) as pieces, pytest.raises(Damaged, match=r"is damaged \(.*order"):
        list(pieces.log(1))
    assert damages_in_file(home / "pieces.db") != []
    # Once there is something to copy, it is found, and the copy stays as it is.
    with opened(home / "pieces.db") as connection:
        add_checksum(connection)
        connection.execute("UPDATE piece SET touched = '2026-11-25T07:30:00.000Z'")
        connection.execute(seal("piece"))
    with pytest.raises(Damaged):
        make_copy(Home(home))
    assert copied.read_bytes() == before


def test_a_column_whose_name_is_damaged_is_no_damage_of_one_piece(home: Path, work: Work) -> None:
    """A piece could not be put beside the others in such a database: all of it has to be taken back."""
    work.on("2026-11-25")
    with opened(home / "pieces.db") as connection:
        add_checksum(connection)
        connection.execute("UPDATE piece SET title = 'x'")
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("UPDATE sqlite_schema SET sql = replace(sql, 'thread ', 'threae ') WHERE name = 'cut'")
    (damage,) = damages_in_file(home / "pieces.db", rows_only=True)
    assert damage.of_all
    assert "thread" in damage.why
