"""Listing pieces writes nothing and needs no room: in a home that is read-only, and with no byte free."""

import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.homes import command, follow, old_database
from tests.running import COMMAND, PATIENCE, WITHOUT_OVERRIDE, Done, environment, pieces

COMMANDS = (
    *(["pieces", "--json"], ["completion", "--list", "pieces"], ["pieces", "--export", "-"]),
    *(["box", "--json"], ["box", "export"], ["gauge", "--json"]),
)


def finished(program: list[str], home: Path) -> Done:
    done = subprocess.run(program, capture_output=True, env=environment(home), timeout=PATIENCE, check=False)
    return Done(done.returncode, done.stdout.decode(), done.stderr.decode())


@contextmanager
def read_only(home: Path) -> Iterator[None]:
    """Nothing in the home can be changed."""
    changed = [(file, file.stat().st_mode) for file in [home, *home.rglob("*")]]
    for file, mode in changed:
        file.chmod(mode & 0o555)
    try:
        yield
    finally:
        for file, mode in changed:
            file.chmod(mode)


def contents(home: Path) -> dict[str, bytes]:
    """Everything in the home."""
    return {str(file.relative_to(home)): file.read_bytes() for file in home.rglob("*") if file.is_file()}


@pytest.fixture
def begun(band: Path, home: Path) -> Path:
    """A home with one piece, a box and a gauge."""
    follow(band, home, 3)
    assert command("box", "add", "slate", "--colour", "#2f4858", home=home).status == 0
    assert command("gauge", "floss", "--used", "40,40,0,0:520", home=home).status == 0
    return home


@pytest.fixture
def before(home: Path) -> Path:
    """A home of the version before, as its windows left it when they were closed."""
    old_database(home / "pieces.db")
    with (home / "pieces.db").open("r+b") as file:
        # It kept a write-ahead log, and closing took it in.
        file.seek(18)
        file.write(b"\x02\x02")
    return home


@pytest.mark.parametrize("kind", ["begun", "before"])
def test_a_home_that_is_read_only(kind: str, request: pytest.FixtureRequest) -> None:
    home: Path = request.getfixturevalue(kind)
    right = [command(*arguments, home=home) for arguments in COMMANDS]
    there = contents(home)
    with read_only(home):
        for arguments, expected in zip(COMMANDS, right, strict=True):
            assert expected.status == 0
            assert finished([sys.executable, "-c", WITHOUT_OVERRIDE, str(home), *arguments], home) == expected
    assert contents(home) == there
    assert pieces(home)


@pytest.mark.parametrize("kind", ["begun", "before"])
def test_no_byte_is_free(kind: str, request: pytest.FixtureRequest) -> None:
    home: Path = request.getfixturevalue(kind)
    there = contents(home)
    for arguments in COMMANDS:
        expected = command(*arguments, home=home)
        limited = [*("/bin/sh", "-c", 'ulimit -f 0; exec "$@"', "sh"), *COMMAND, *arguments]
        assert finished(limited, home) == expected
        assert expected.status == 0
    assert contents(home) == there


def test_a_home_without_pieces(home: Path, tmp_path: Path) -> None:
    home.mkdir()
    with read_only(home):
        done = finished([sys.executable, "-c", WITHOUT_OVERRIDE, str(home), "pieces", "--json"], home)
    assert (done.status, json.loads(done.out), done.err) == (0, [], "")
    assert not list(home.iterdir())
    assert pieces(tmp_path / "nowhere") == []
    assert not (tmp_path / "nowhere").exists()


def test_a_half_change_in_a_home_that_is_read_only(begun: Path, tmp_path: Path) -> None:
    # Left by a kill: it has to be taken back before anything can be read, and here it cannot be.
    killed = f"""
import os, signal, sqlite3
connection = sqlite3.connect({str(begun / "pieces.db")!r}, isolation_level=None)
connection.execute("PRAGMA cache_size = 1")
connection.execute("PRAGMA cache_spill = 1")
connection.execute("BEGIN IMMEDIATE")
connection.execute("DROP TRIGGER event_is_never_changed")
connection.execute("UPDATE event SET at = hex(randomblob(9000))")
connection.execute("UPDATE copy SET design = hex(randomblob(90000))")
os.kill(os.getpid(), signal.SIGKILL)
"""
    subprocess.run([sys.executable, "-c", killed], check=False)
    assert (begun / "pieces.db-journal").stat().st_size > 512
    shutil.copytree(begun, tmp_path / "copied")
    with read_only(begun):
        done = finished([sys.executable, "-c", WITHOUT_OVERRIDE, str(begun), "pieces"], begun)
    assert (done.status, done.out) == (3, "")
    assert len(done.err.splitlines()) == 1
    assert "BENCHMATE_HOME" in done.err
    for home in begun, tmp_path / "copied":
        assert [piece["done"] for piece in pieces(home)] == [3]
