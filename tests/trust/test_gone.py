"""The database is removed or replaced while a window is open: no press counts as saved that the next start lacks."""

import shutil
import signal
import sqlite3
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from benchmate.store.open_piece import OpenPiece
from tests.homes import advised, command, done_of, follow, follow_advice, opened
from tests.running import PATIENCE, Plain, bench, count, wait_for_count
from tests.terminal import Terminal

GONE = "was removed or replaced while benchmate was open"


def removed(home: Path, _: Path) -> None:
    (home / "pieces.db").unlink()


def folder_removed(home: Path, _: Path) -> None:
    shutil.rmtree(home)


def replaced_by_older(home: Path, older: Path) -> None:
    shutil.copy(older, home / "new")
    (home / "new").rename(home / "pieces.db")


def overwritten(content: bytes) -> Callable[[Path, Path], None]:
    def overwrite(home: Path, _: Path) -> None:
        with (home / "pieces.db").open("r+b") as file:
            file.truncate(0)
            file.write(content)

    return overwrite


def overwritten_by_older(home: Path, older: Path) -> None:
    overwritten(older.read_bytes())(home, older)


def overwritten_by_another_programs(home: Path, older: Path) -> None:
    other = older.with_name("other.db")
    with opened(other) as connection:
        connection.execute("CREATE TABLE recipe (name)")
    overwritten(other.read_bytes())(home, older)


FATES: dict[str, Callable[[Path, Path], None]] = {
    "removed": removed,
    "its folder removed": folder_removed,
    "replaced by an older one": replaced_by_older,
    "overwritten by an older one": overwritten_by_older,
    "overwritten by garbage": overwritten(b"not a database" * 3000),
    "overwritten by another program's": overwritten_by_another_programs,
    "emptied": overwritten(b""),
}


@pytest.fixture
def older(band: Path, home: Path, tmp_path: Path) -> Path:
    """A copy of the database with one step done; the home has two, and a copy of its own."""
    older = tmp_path / "older.db"
    follow(band, home, 1)
    shutil.copy(home / "pieces.db", older)
    follow(band, home, 1)
    return older


def back(said: str, home: Path, band: Path, done: int) -> None:
    """The advice brings every step back that was said to be saved."""
    follow_advice(said, home)
    after = follow(band, home)
    assert (after.status, after.err) == (0, "")
    assert after.out.startswith(f"{done + 1}/12 ")
    before = done_of(home)
    (rescue,) = (arguments for arguments in advised(said) if "--import" in arguments)
    again = command(*rescue, home=home)
    assert again.status == 0
    assert {line.rpartition(": ")[2] for line in again.out.splitlines()} == {"already here"}
    assert done_of(home) == before


def one_line(terminal: Terminal) -> str:
    """What the terminal shows after the program has ended, its line breaks undone."""
    return "".join(line.ljust(terminal.columns) for line in terminal.lines)


@pytest.mark.parametrize("fate", FATES)
def test_a_press_in_plain_mode(band: Path, home: Path, older: Path, fate: str) -> None:
    with Plain(band, home) as plain:
        assert plain.line().startswith("3/12 ")
        assert plain.answer("").startswith("4/12 ")
        FATES[fate](home, older)
        plain.say("")
        done = plain.end()
    assert (done.status, done.out) == (3, "")
    first, second = done.err.splitlines()
    assert first == "Not saved, not counted."
    assert "Your piece, 3 of 12 steps, is written to " in second
    assert second.startswith("benchmate: ")
    back(second, home, band, 3)


@pytest.mark.parametrize(
    ("fate", "leave"),
    [
        *((fate, "q") for fate in FATES),
        ("removed", ""),
        ("overwritten by an older one", signal.SIGINT),
    ],
)
def test_leaving_in_plain_mode(band: Path, home: Path, older: Path, fate: str, leave: str | int) -> None:
    with Plain(band, home) as plain:
        plain.line()
        assert plain.answer("").startswith("4/12 ")
        FATES[fate](home, older)
        if isinstance(leave, int):
            plain.process.send_signal(leave)
            plain.process.wait(PATIENCE)
        elif leave:
            plain.say(leave)
        done = plain.end()
    assert (done.status, done.out) == (3, "")
    assert "Your piece, 3 of 12 steps, is written to " in done.err
    back(done.err, home, band, 3)


@pytest.mark.parametrize("fate", ["removed", "its folder removed", "replaced by an older one"])
def test_the_first_press_of_a_new_piece(band: Path, home: Path, older: Path, fate: str) -> None:
    with Plain(band, home, "--new") as plain:
        assert plain.line().startswith("1/12 ")
        FATES[fate](home, older)
        plain.say("")
        done = plain.end()
    assert (done.status, done.out) == (3, "")
    assert done.err.startswith("Not saved, not counted.\nbenchmate: ")
    assert GONE in done.err
    assert not list(home.glob("*.pieces"))


def test_without_any_copy_the_file_alone_brings_it_back(band: Path, home: Path) -> None:
    for fate in removed, folder_removed, overwritten(b""):
        shutil.rmtree(home, ignore_errors=True)
        with Plain(band, home) as plain:
            plain.line()
            plain.answer("")
            fate(home, home)
            plain.say("")
            done = plain.end()
        assert done.status == 3
        back(done.err, home, band, 1)


@pytest.mark.parametrize(
    "fate", ["overwritten by garbage", "overwritten by another program's", "replaced by another's"]
)
def test_without_any_copy_what_is_there_has_to_go_first(band: Path, home: Path, tmp_path: Path, fate: str) -> None:
    with Plain(band, home) as plain:
        plain.line()
        plain.answer("")
        if fate in FATES:
            FATES[fate](home, tmp_path / "older.db")
        else:
            (home / "pieces.db").unlink()
            with opened(home / "pieces.db") as connection:
                connection.execute("CREATE TABLE recipe (name)")
        plain.say("")
        done = plain.end()
    assert done.status == 3
    assert "move" in done.err.lower()
    assert done.err.index("ove ") < done.err.index(" To go on: benchmate pieces --import ")
    (home / "pieces.db").rename(tmp_path / "moved.db")
    back(done.err, home, band, 1)


def test_all_other_pieces_are_written_with_it(band: Path, home: Path) -> None:
    for answers in 3, 1:
        assert follow(band, home, answers, "--new").status == 0
    with Plain(band, home, "--new") as plain:
        plain.line()
        plain.answer("")
        shutil.rmtree(home)
        plain.say("")
        done = plain.end()
    follow_advice(done.err, home)
    assert sorted(done_of(home).values()) == [1, 1, 3]


@pytest.mark.parametrize(
    "fate", ["its folder removed", "replaced by an older one", "overwritten by an older one", "emptied"]
)
def test_a_press_on_the_full_screen(band: Path, home: Path, older: Path, fate: str) -> None:
    with bench(band, home, columns=200) as terminal:
        wait_for_count(terminal, 2)
        terminal.press("space")
        wait_for_count(terminal, 3)
        terminal.pump(0.2)
        FATES[fate](home, older)
        terminal.press("space")
        terminal.wait_for("write it to a new file, and leave")
        terminal.press("q")
        assert terminal.wait() == 3
        said = one_line(terminal)
    assert "saved." not in said.replace("can be saved", "")
    assert "Your piece, 3 of 12 steps, is written to " in said
    back(said, home, band, 3)


def test_the_question_comes_by_itself_once_and_may_wait(band: Path, home: Path, older: Path) -> None:
    with bench(band, home, columns=200) as terminal:
        wait_for_count(terminal, 2)
        removed(home, older)
        terminal.wait_for("continue to show it for now")
        terminal.press("c")
        terminal.wait_for("NOT SAVED, NOT COUNTED.")
        terminal.pump(1.3)
        assert count(terminal) == (2, 12)
        # Leaving asks again, and so does a press.
        for key in "q", "space":
            terminal.press(key, gap=0.2)
            terminal.wait_for("write it to a new file, and leave")
            terminal.press("escape")
            terminal.wait_until(lambda shown: count(shown) == (2, 12))
        terminal.press("q")
        terminal.wait_for("leave without it")
        terminal.press("x")
        assert terminal.wait() == 3
        said = one_line(terminal)
    assert GONE in said
    assert "saved." not in said
    assert not list(home.glob("*.pieces"))


@pytest.mark.parametrize(("number", "asked"), [(signal.SIGTERM, False), (signal.SIGHUP, True)])
def test_a_signal_writes_the_piece_to_a_file(band: Path, home: Path, older: Path, number: int, asked: bool) -> None:
    with bench(band, home, columns=200) as terminal:
        wait_for_count(terminal, 2)
        removed(home, older)
        if asked:
            terminal.wait_for("write it to a new file, and leave")
        terminal.signal(number)
        assert terminal.wait() == 3
        said = one_line(terminal)
    back(said, home, band, 2)


def test_the_first_press_of_a_new_piece_on_the_full_screen(band: Path, home: Path, older: Path) -> None:
    with bench(band, home, "--new", columns=200) as terminal:
        wait_for_count(terminal, 0)
        removed(home, older)
        terminal.press("space")
        terminal.wait_for("continue to show it for now")
        assert "write it to a new file" not in terminal.text
        terminal.press("q")
        assert terminal.wait() == 3
        assert GONE in one_line(terminal)


def test_a_window_that_only_looks_on(band: Path, home: Path, older: Path) -> None:
    with Plain(band, home) as plain:
        plain.line()
        with bench(band, home, columns=200) as terminal:
            terminal.wait_for("open it here read-only")
            terminal.press("l")
            wait_for_count(terminal, 2)
            removed(home, older)
            terminal.wait_for(GONE)
            terminal.press("space")
            terminal.pump(0.2)
            assert count(terminal) == (2, 12)
            terminal.press("q")
            assert terminal.wait() == 3
            assert "saved." not in one_line(terminal)
        plain.say("")
        done = plain.end()
    assert done.status == 3
    back(done.err, home, band, 2)


def test_gone_just_after_the_last_look(band: Path, home: Path, older: Path) -> None:
    # Between the check at leaving and the copy, nothing more looks at the database.
    with patch.object(OpenPiece, "let_go", lambda _: removed(home, older)):
        done = follow(band, home, 1)
    assert done.status == 3
    assert done.out.splitlines()[-1].startswith("4/12 ")
    back(done.err, home, band, 3)


def test_a_diverged_database_with_as_many_changes(band: Path, home: Path, tmp_path: Path) -> None:
    # SQLite trusts what it has read until a counter in the file differs, and here it does not.
    follow(band, home, 1)
    other = tmp_path / "other"
    shutil.copytree(home, other)
    with Plain(band, home) as here, Plain(band, other) as there:
        for plain in here, there:
            plain.line()
        assert here.answer("").startswith("3/12 ")
        assert there.answer("").startswith("3/12 ")
        overwritten((other / "pieces.db").read_bytes())(home, other)
        here.say("")
        done = here.end()
        assert done.status == 3
        with sqlite3.connect(home / "pieces.db") as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        follow_advice(done.err, home)
        assert sorted(done_of(home).values()) == [2, 2]
