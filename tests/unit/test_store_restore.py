"""`keep` and `restore`: a copy, or one piece of it, takes the place of what is there, which is set aside."""

import os
import shutil
import signal
import sqlite3
import subprocess
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from benchmate.store.checksum import add_checksum, seal
from benchmate.store.holders import Holder
from benchmate.store.pieces import Pieces
from benchmate.store.places import Home
from tests.homes import advised, command, done_of, follow, listed, old_database, opened
from tests.running import COMMAND, Done, environment

KEPT = {1: 2, 2: 1}
NOW = {1: 5, 2: 1, 3: 1}
"""How many steps of each piece are done in the copy, and in the database."""


@pytest.fixture
def copy(band: Path, home: Path, tmp_path: Path) -> Path:
    """A copy of two pieces; since then, one was continued and a third begun."""
    copy = tmp_path / "kept.db"
    other = band.with_name("other.yaml")
    shutil.copy(band, other)
    follow(band, home, 2)
    follow(other, home, 1)
    assert command("keep", "-o", copy, home=home).status == 0
    follow(band, home, 3)
    follow(other, home, 1, "--new")
    assert done_of(home) == NOW
    return copy


def restore(home: Path, *arguments: str | Path, answer: str = "yes\n") -> Done:
    """Restores, and checks that a message stays on its line."""
    done = command("restore", *arguments, home=home, given=answer)
    assert done.err.replace("\n", "").isprintable()
    return done


def asides(home: Path) -> list[Path]:
    """What was set aside, the oldest first."""
    return sorted((home / "copies").glob("aside-*"))


def test_everything_is_kept_in_one_file(copy: Path, home: Path) -> None:
    again = command("keep", "-o", copy, home=home)
    assert (again.status, again.out) == (2, "")
    with opened(copy) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert connection.execute("SELECT count(*) FROM piece").fetchone() == (2,)
    forced = command("keep", "-o", copy, "--force", home=home)
    assert (forced.status, forced.out, forced.err) == (0, "", f"{copy}: 3 pieces kept\n")


@pytest.mark.parametrize("own", ["pieces.db", "pieces.db-wal", "copies/mine.db", "open/mine.db", "./../home/pieces.db"])
def test_keep_does_not_write_over_its_own_files(copy: Path, home: Path, own: str) -> None:
    done = command("keep", "-o", home / own, "--force", home=home)
    assert (done.status, done.out) == (2, "")
    assert "the program keeps this file itself" in done.err
    assert done_of(home) == NOW


def test_there_is_nothing_to_keep_yet(home: Path, tmp_path: Path) -> None:
    done = command("keep", "-o", tmp_path / "kept.db", home=home)
    assert (done.status, done.err) == (1, "There are no pieces yet.\n")
    assert not (tmp_path / "kept.db").exists()


def test_everything_is_restored_and_what_was_there_is_set_aside(copy: Path, home: Path) -> None:
    done = restore(home, copy)
    (aside,) = asides(home)
    assert (done.status, done.out) == (0, f"Restored. To undo this: benchmate restore {aside}\n")
    assert done_of(home) == KEPT
    assert [file.name for file in aside.iterdir()] == ["pieces.db"]
    assert {file.name for file in home.iterdir()} == {"copies", "open", "pieces.db"}
    said = done.err.splitlines()
    assert [line for line in said if line.startswith("  ")] == [
        *(f"  {number}: Rain on slate, {of}/12, last touched {said[1][-10:]}" for number, of in ((2, 1), (1, 2))),
        *(
            f"  {number}: Rain on slate, {of}/12, last touched {said[1][-10:]}"
            for number, of in ((3, 1), (1, 5), (2, 1))
        ),
    ]
    # And back again.
    assert restore(home, aside / "pieces.db").status == 0
    assert done_of(home) == NOW
    assert len(asides(home)) == 2


def test_one_piece_is_restored_and_the_others_stay(copy: Path, home: Path, band: Path) -> None:
    assert restore(home, copy, "--piece", "1").status == 0
    assert done_of(home) == {**NOW, 1: 2}
    assert follow(band, home, 1).out.startswith("3/12 ")
    with opened(home / "pieces.db") as connection, pytest.raises(sqlite3.IntegrityError):
        connection.execute("DELETE FROM event")


def test_a_piece_that_is_not_there_is_added_again(copy: Path, home: Path) -> None:
    assert command("keep", "-o", home / "all.db", home=home).status == 0
    assert restore(home, copy).status == 0
    assert restore(home, home / "all.db", "--piece", "3").status == 0
    assert done_of(home) == {**KEPT, 3: 1}


def test_one_damaged_piece_is_restored(copy: Path, home: Path, band: Path) -> None:
    with opened(home / "pieces.db") as connection:
        connection.execute("UPDATE piece SET done = 9 WHERE piece = 1")
    done = follow(band, home)
    assert (done.status, done.out) == (3, "")
    (arguments,) = advised(done.err)
    assert arguments[0] == "restore"
    assert arguments[2:] == ["--piece", "1"]
    assert restore(home, *arguments[1:]).status == 0
    assert done_of(home) == NOW


def test_all_damaged_pieces_are_restored_together(copy: Path, home: Path, band: Path) -> None:
    # Also one with a text that is none, and a plan of another piece that is damaged and missed by nobody.
    with opened(home / "pieces.db") as connection:
        connection.execute("UPDATE piece SET done = 9 WHERE piece = 1")
        connection.execute("UPDATE piece SET started = CAST(x'ff' AS TEXT) WHERE piece = 2")
        connection.execute("INSERT INTO plan VALUES (3, x'00', 0)")
    done = follow(band, home)
    assert done.status == 3
    (arguments,) = advised(done.err)
    assert arguments[2:] == ["--piece", "1", "--piece", "2"]
    assert restore(home, *arguments[1:]).status == 0
    assert done_of(home) == NOW


def test_what_is_intact_is_kept_although_a_piece_is_damaged(copy: Path, home: Path, tmp_path: Path) -> None:
    with opened(home / "pieces.db") as connection:
        connection.execute("UPDATE piece SET done = 9 WHERE piece = 1")
    kept = tmp_path / "rest.db"
    done = command("keep", "-o", kept, home=home)
    assert done.status == 3
    assert done.err.startswith(f"{kept}: the other 2 pieces kept\nbenchmate: Piece 1 in ")
    # What is there may have the piece that is damaged here.
    before = copy.read_bytes()
    again = command("keep", "-o", copy, "--force", home=home)
    assert (again.status, copy.read_bytes()) == (3, before)
    assert again.err.startswith(
        f"{copy}: not replaced, as it may have the piece that is damaged\nbenchmate: Piece 1 in "
    )
    with opened(kept) as connection:
        assert connection.execute("SELECT piece FROM piece").fetchall() == [(2,), (3,)]


@pytest.mark.parametrize(
    ("answer", "status", "said"),
    [
        *((answer, 0, "") for answer in ("yes\n", "y\n", " YES \n")),
        *((answer, 0, "Nothing was changed.") for answer in ("n\n", "\n", "yes please\n")),
        ("", 1, "Nothing was changed."),
    ],
)
def test_it_asks_first(copy: Path, home: Path, answer: str, status: int, said: str) -> None:
    before = (home / "pieces.db").read_bytes()
    done = restore(home, copy, answer=answer)
    assert done.status == status
    assert done.err.rpartition("Type yes to go on: ")[2].strip() == said
    if said:
        assert done.out == ""
        assert (home / "pieces.db").read_bytes() == before
        assert not asides(home)
    else:
        assert done_of(home) == KEPT


def test_not_while_a_window_is_open(copy: Path, home: Path) -> None:
    holder = Holder(home / "open")
    try:
        done = restore(home, copy)
    finally:
        holder.close()
    assert (done.status, done.out) == (1, "")
    assert done.err.endswith("benchmate is open in a window. Press q there, then try again.\n")
    assert done_of(home) == NOW
    assert not asides(home)
    assert restore(home, copy).status == 0


def newer(file: Path) -> None:
    with opened(file) as connection:
        connection.execute("PRAGMA user_version = 99")


def damaged(file: Path) -> None:
    with opened(file) as connection:
        connection.execute("UPDATE piece SET done = 9")


def cut(file: Path) -> None:
    os.truncate(file, 9000)


def another_programs(file: Path) -> None:
    file.unlink()
    with opened(file) as connection:
        connection.execute("CREATE TABLE recipe (name)")


def without_pieces(file: Path) -> None:
    Pieces(Home(file.with_name("none"))).close()
    shutil.copy(file.with_name("none") / "pieces.db", file)


def folder(file: Path) -> None:
    file.unlink()
    file.mkdir()


def pipe(file: Path) -> None:
    file.unlink()
    os.mkfifo(file)


REFUSED: dict[str, tuple[Callable[[Path], object], str]] = {
    "missing": (Path.unlink, "no such file"),
    "empty": (lambda file: file.write_bytes(b""), "this is not a copy of your pieces"),
    "text": (lambda file: file.write_text("rows: []" * 999), "this file cannot be read as a copy of your pieces"),
    "another program's": (another_programs, "this is not a copy of your pieces"),
    "newer": (newer, "it was made by a newer version of benchmate; use that version"),
    "damaged": (damaged, "it is damaged (what is listed of piece 1 is not what was written)"),
    "cut off": (cut, "this file cannot be read as a copy of your pieces"),
    "without pieces": (without_pieces, "it has no pieces"),
    "a folder": (folder, "this is not a regular file"),
    "a pipe": (pipe, "this is not a regular file"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_a_file_that_is_no_copy_is_refused(copy: Path, home: Path, kind: str) -> None:
    make, why = REFUSED[kind]
    make(copy)
    before = (home / "pieces.db").read_bytes()
    for more in [], ["--piece", "1"]:
        done = restore(home, copy, *more)
        assert (done.status, done.out) == (1, "")
        assert done.err.startswith(f"{copy}: {why}")
        assert done.err.count("\n") == 1
    assert (home / "pieces.db").read_bytes() == before
    assert not asides(home)


def test_a_file_of_export_is_refused(copy: Path, home: Path, tmp_path: Path) -> None:
    assert command("pieces", "--export", tmp_path / "a.pieces", home=home).status == 0
    assert restore(home, tmp_path / "a.pieces").status == 1
    assert done_of(home) == NOW


def test_a_piece_that_the_copy_lacks_is_refused(copy: Path, home: Path) -> None:
    done = restore(home, copy, "--piece", "3")
    assert (done.status, done.err) == (1, f"{copy}: it has no piece 3\n")
    assert restore(home, copy, "--piece", "0").status == 2


def test_another_piece_of_that_number_is_not_overwritten(copy: Path, home: Path, band: Path) -> None:
    shutil.rmtree(home)
    follow(band, home, 4)
    done = restore(home, copy, "--piece", "1")
    assert (done.status, done.out) == (1, "")
    assert done.err.endswith("its piece 1 is another piece than yours of that number\n")
    assert done_of(home) == {1: 4}
    # The other is not there, and is added.
    assert restore(home, copy, "--piece", "2").status == 0
    assert done_of(home) == {1: 4, 2: 1}


def test_a_home_with_nothing_in_it(copy: Path, tmp_path: Path) -> None:
    there = tmp_path / "there" / "deep"
    done = restore(there, copy)
    assert (done.status, done.out) == (0, "Restored.\n")
    assert done_of(there) == KEPT
    assert not asides(there)
    assert [folder.stat().st_mode & 0o777 for folder in (there, there / "copies")] == [0o700, 0o700]
    assert restore(tmp_path / "third", copy, "--piece", "1").status == 1


def test_a_database_of_the_version_before_is_a_copy(copy: Path, home: Path, tmp_path: Path) -> None:
    old_database(tmp_path / "old.db")
    before = (tmp_path / "old.db").read_bytes()
    assert restore(home, tmp_path / "old.db").status == 0
    assert done_of(home) == {1: 7, 2: 3}
    assert (tmp_path / "old.db").read_bytes() == before
    # Also one whose write-ahead log still has everything.
    old_database(tmp_path / "logged.db", tmp_path / "making" / "logged.db")
    shutil.rmtree(home)
    assert restore(home, tmp_path / "logged.db").status == 0
    assert done_of(home) == {1: 7, 2: 3}


@pytest.mark.parametrize("ends", [("-journal",), ("-wal", "-shm")])
def test_nothing_that_lies_beside_a_damaged_database_stays(copy: Path, home: Path, ends: tuple[str, ...]) -> None:
    for end in "", *ends:
        (home / f"pieces.db{end}").write_bytes(b"damaged" * 1000)
    done = restore(home, copy)
    assert done.status == 0
    assert "what is missing or damaged" in done.err
    (aside,) = asides(home)
    names = {file.name for file in aside.iterdir()}
    # SQLite itself removes a journal that it can make nothing of.
    assert names - {"pieces.db-journal"} == {f"pieces.db{end}" for end in ("", *ends)} - {"pieces.db-journal"}
    assert done_of(home) == KEPT
    assert {file.name for file in home.iterdir()} == {"copies", "open", "pieces.db"}


def test_a_copy_with_hostile_texts_controls_no_terminal(copy: Path, home: Path) -> None:
    evil = "\x1b[2J\nbenchmate: all is well\u202e"
    with opened(copy) as connection:
        add_checksum(connection)
        connection.execute("UPDATE piece SET title = ?, touched = ?, way = ?, file = ?, holder = ?", (evil,) * 5)
        connection.execute(seal("piece"))
    done = restore(home, copy)
    assert done.status == 0
    assert [piece.holder for piece in listed(home).values()] == [None, None]
    listing = command("pieces", home=home)
    assert listing.status == 0
    assert len(listing.out.splitlines()) == 2
    for text in done.err, done.out, listing.out:
        assert not set(text) & {"\x1b", "\u202e"}
    assert "\nbenchmate: all is well" not in done.err + listing.out


def test_a_copy_with_a_hostile_index_controls_no_terminal(copy: Path, home: Path) -> None:
    with opened(copy) as connection:
        connection.execute('CREATE INDEX "\x1b[2J" ON piece (title)')
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE type = 'index' AND sql LIKE '%2J%'"
        ).fetchone()
    with copy.open("r+b") as file:
        file.seek(4096 * (page - 1) + 3)
        file.write(b"\0\0")
    done = restore(home, copy)
    assert done.status == 1
    assert "\x1b" not in done.err


@pytest.mark.parametrize("call", range(5))
def test_a_failure_halfway_leaves_the_way_back(copy: Path, home: Path, call: int) -> None:
    real, calls = os.rename, iter(range(100))

    def failing(source: str | Path, target: str | Path) -> None:
        if next(calls) == call:
            raise OSError(5, "Input/output error")
        real(source, target)

    (home / "pieces.db-shm").write_bytes(b"left")
    with patch("os.rename", failing):
        done = restore(home, copy)
    if done.status == 0:
        assert done_of(home) == KEPT
        return
    assert (done.status, done.out) == (3, "")
    assert "The copy cannot be put in place (Input/output error). Nothing was deleted." in done.err
    if call == 0:
        assert not asides(home)
    follow_after_interruption(home)


def follow_after_interruption(home: Path) -> None:
    """After a restoration that did not end: everything is as before, or the advice completes it."""
    listing = command("pieces", home=home)
    if listing.status == 3:
        (arguments,) = advised(listing.err)
        assert restore(home, *arguments[1:]).status == 0
        assert done_of(home) == KEPT
    else:
        assert done_of(home) in (KEPT, NOW)
    if done_of(home) == KEPT:
        # What was there is still there.
        (found,) = [aside for aside in asides(home) if (aside / "pieces.db").exists()]
        assert restore(home, found / "pieces.db").status == 0
        assert done_of(home) == NOW
        assert not list((home / "copies").glob("aside-*/restored.db"))


PAUSED = """
import os, random, signal, sys
chance = random.Random(int(sys.argv[1]))
left = chance.randint(1, 8)
def count(name, real):
    def call(*arguments, **named):
        global left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*arguments, **named)
    setattr(os, name, call)
for name in "rename", "link", "fsync", "unlink", "mkdir", "open", "rmdir":
    count(name, getattr(os, name))
from benchmate.cli import main
main(sys.argv[2:])
"""


def test_killed_at_any_step_the_advice_leads_back(copy: Path, home: Path, tmp_path: Path) -> None:
    killed = 0
    for seed in range(6):
        there = tmp_path / f"home{seed}"
        shutil.copytree(home, there)
        done = subprocess.run(
            [COMMAND[0], "-c", PAUSED, str(seed), "restore", str(copy)],
            input=b"yes\n",
            capture_output=True,
            env=environment(there),
            check=False,
        )
        killed += done.returncode == -signal.SIGKILL
        follow_after_interruption(there)
    assert killed > 2


def test_what_was_restored_is_undone_by_the_command_that_is_printed(copy: Path, home: Path) -> None:
    done = restore(home, copy)
    assert done_of(home) == KEPT
    (arguments,) = advised(done.out)
    assert restore(home, *arguments[1:]).status == 0
    assert done_of(home) == NOW


def test_what_was_set_aside_serves_where_no_copy_is_left(copy: Path, home: Path, band: Path) -> None:
    assert restore(home, copy).status == 0
    for file in (home / "pieces.db", *(home / "copies").glob("*.db")):
        file.write_bytes(b"not a database" * 1000)
    (arguments,) = advised(follow(band, home).err)
    assert restore(home, *arguments[1:]).status == 0
    assert done_of(home) == NOW


def test_each_kind_of_file_is_told_from_the_other(copy: Path, home: Path, tmp_path: Path) -> None:
    export = tmp_path / "out.pieces"
    assert command("pieces", "--export", export, home=home).status == 0
    assert restore(home, export).err == f"{export}: this is an export; benchmate pieces --import takes it in\n"
    done = command("pieces", "--import", copy, home=home)
    assert (done.status, done.out) == (1, "")
    assert done.err == f"{copy}:1:1: this is a copy of all pieces; benchmate restore takes it back\n"
