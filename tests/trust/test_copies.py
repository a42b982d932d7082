"""The copies that working makes by itself, whatever ends the work, and what becomes of a home of the version before."""

import shutil
import signal
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from benchmate.store.pieces import Pieces
from benchmate.store.places import Home
from benchmate.store.safekeeping.copies import copy_files, intact_copies
from benchmate.store.safekeeping.keeping import make_copy
from tests.homes import advised, command, design_of, done_of, follow, follow_advice, listed, old_database
from tests.running import COMMAND, Plain, bench, environment, wait_for_count


def known(home: Path) -> dict[int, int]:
    """How many steps of each piece the newest copy has."""
    newest = next(intact_copies(Home(home)))
    return {piece: known.done for (piece, _), known in newest.pieces.items()}


def test_a_copy_is_made_after_work(band: Path, home: Path) -> None:
    assert follow(band, home).status == 0
    assert not (home / "copies").exists()
    for done in 1, 2:
        assert follow(band, home, 1).status == 0
        assert known(home) == {1: done}
    with bench(band, home) as terminal:
        wait_for_count(terminal, 2)
        terminal.press("space")
        wait_for_count(terminal, 3)
        terminal.press("q")
        assert terminal.wait() == 0
    assert known(home) == {1: 3}
    assert len(copy_files(Home(home))) == 1


def test_the_work_of_a_killed_window_is_copied_at_the_next_start(band: Path, home: Path) -> None:
    with Plain(band, home) as plain:
        plain.line()
        plain.answer("")
        plain.process.kill()
    assert not (home / "copies").exists()
    with bench(band, home) as terminal:
        wait_for_count(terminal, 1)
        terminal.wait_until(lambda _: bool(copy_files(Home(home))))
        terminal.signal(signal.SIGKILL)
        terminal.wait()
    assert known(home) == {1: 1}
    with Plain(band, home) as plain:
        plain.line()
        plain.answer("")
        plain.process.kill()
    assert follow(band, home).status == 0
    assert known(home) == {1: 2}


def test_a_lost_database_does_not_empty_its_copies(band: Path, home: Path) -> None:
    follow(band, home, 2)
    (copy,) = copy_files(Home(home))
    before = copy.read_bytes()
    for lost in "removed", "emptied":
        (home / "pieces.db").unlink()
        if lost == "emptied":
            (home / "pieces.db").touch()
        for arguments in (
            ["follow", str(band), "--plain"],
            ["pieces"],
            ["pieces", "--json"],
            ["keep", "-o", str(home / "kept")],
        ):
            done = command(*arguments, home=home, given="\n")
            assert (done.status, done.out) == (3, "")
            assert "is missing or empty. Nothing was changed." in done.err
            assert advised(done.err) == [["restore", str(copy)]]
        with bench(band, home, columns=400) as terminal:
            assert terminal.wait() == 3
            assert advised(terminal.text) == [["restore", str(copy)]]
        assert copy.read_bytes() == before
        follow_advice(done.err, home)
        assert done_of(home) == {1: 2}


def test_windows_that_copy_at_once(band: Path, home: Path) -> None:
    for _ in range(3):
        follow(band, home, 1, "--new")
    make = "import sys; from pathlib import Path; from benchmate.store.safekeeping.keeping import make_copy; "
    make += "from benchmate.store.places import Home; make_copy(Home(Path(sys.argv[1])))"
    shutil.rmtree(home / "copies")
    programs = [
        subprocess.Popen(
            [COMMAND[0], "-c", make, str(home)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment(home)
        )
        for _ in range(4)
    ]
    for program in programs:
        assert program.communicate()[0] == b""
    assert known(home) == {1: 1, 2: 1, 3: 1}
    assert len(list((home / "copies").iterdir())) == 1

    # Within one program as well: the screen copies in a thread of its own.
    shutil.rmtree(home / "copies")
    with ThreadPoolExecutor(4) as pool:
        made = list(pool.map(make_copy, [Home(home)] * 4))
    assert any(made)
    assert len(list((home / "copies").iterdir())) == 1


@pytest.fixture
def design(home: Path, tmp_path: Path) -> Path:
    """The design of the pieces in a home of the version before, all of which is in its write-ahead log."""
    old_database(home / "pieces.db", tmp_path / "aside" / "pieces.db")
    assert (home / "pieces.db-wal").stat().st_size > 4096
    design = tmp_path / "quay-steps.yaml"
    design.write_text(read_design(home), encoding="utf-8")
    return design


def read_design(home: Path) -> str:
    """The design of piece 2, read as the home was, without taking in its write-ahead log."""
    aside = home.with_name("read")
    shutil.copytree(home, aside)
    pieces = Pieces(Home(aside))
    try:
        return design_of(pieces, 2).design
    finally:
        pieces.close()


def test_a_write_ahead_log_of_the_version_before_is_taken_in(design: Path, home: Path) -> None:
    for _ in range(2):
        # Listing takes nothing in.
        assert {number: (piece.done, piece.size) for number, piece in listed(home).items()} == {1: (7, 21), 2: (3, 21)}
        assert (home / "pieces.db-wal").exists()
    done = follow(design, home, 1)
    assert (done.status, done.err) == (0, "")
    assert [line.split()[0] for line in done.out.splitlines()] == ["4/21", "5/21"]
    assert {file.name for file in home.iterdir()} == {"copies", "open", "pieces.db"}
    assert done_of(home) == known(home) == {1: 7, 2: 4}


def test_a_lost_write_ahead_log_does_not_empty_the_copies(design: Path, home: Path, tmp_path: Path) -> None:
    old_database(home / "pieces-copy.db")
    before = (home / "pieces-copy.db").read_bytes()
    (home / "pieces.db-wal").unlink()
    done = follow(design, home, 1)
    assert (done.status, done.out) == (3, "")
    assert (home / "pieces-copy.db").read_bytes() == before
    follow_advice(done.err, home)
    assert done_of(home) == {1: 7, 2: 3}
    assert follow(design, home, 1).out.startswith("4/21 ")
    assert not (home / "pieces-copy.db").exists()
    assert known(home) == {1: 7, 2: 4}
