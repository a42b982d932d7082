"""Who holds a piece: a lock that dies with its program."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.store.errors import StoreError
from benchmate.store.holders import STALE, Holder, is_alive
from tests.running import ROOT


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "open"


@pytest.fixture
def other(folder: Path) -> Iterator["subprocess.Popen[str]"]:
    """Another program with a holder; it prints its token first."""
    program = (
        "import sys\nfrom pathlib import Path\nfrom benchmate.store.holders import Holder\n"
        "holder = Holder(Path(sys.argv[1]))\nprint(holder.token, flush=True)\nsys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as process:
        yield process
        process.kill()


def token_of(process: "subprocess.Popen[str]") -> str:
    assert process.stdout is not None
    return process.stdout.readline().strip()


def test_a_holder_is_alive_until_it_closes(folder: Path) -> None:
    holder = Holder(folder)
    assert is_alive(folder, holder.token)
    holder.close()
    assert not is_alive(folder, holder.token)
    assert list(folder.iterdir()) == []
    holder.close()


def test_two_holders_have_different_tokens(folder: Path) -> None:
    both = Holder(folder), Holder(folder)
    assert both[0].token != both[1].token
    for holder in both:
        assert is_alive(folder, holder.token)
        holder.close()


def test_an_unknown_token_is_not_alive(folder: Path) -> None:
    assert not is_alive(folder, "0123456789abcdef")
    assert not folder.exists()


def test_another_program_is_alive_until_it_is_killed(folder: Path, other: "subprocess.Popen[str]") -> None:
    token = token_of(other)
    for _ in range(3):
        assert is_alive(folder, token)
    other.kill()
    other.wait()
    assert not is_alive(folder, token)


def test_checking_a_lock_does_not_take_it(folder: Path, other: "subprocess.Popen[str]") -> None:
    token = token_of(other)
    other.kill()
    other.wait()
    assert not is_alive(folder, token)
    assert not is_alive(folder, token)


FORKS = """
import os, sys
from pathlib import Path
from benchmate.store.holders import Holder
holder = Holder(Path(sys.argv[1]))
if os.fork() == 0:
    sys.stdin.read()
    os._exit(0)
print(holder.token, flush=True)
sys.stdin.read()
"""
"""Another program with a holder, and a forked child that outlives it."""


def test_a_child_of_a_program_does_not_keep_it_alive(folder: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", FORKS, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as process:
        token = token_of(process)
        assert is_alive(folder, token)
        process.kill()
        process.wait()
        assert not is_alive(folder, token)
        # The child exits when the input it shares with its parent is closed.
        assert process.stdin is not None
        process.stdin.close()


def test_a_program_that_checks_its_own_lock_keeps_it(folder: Path) -> None:
    holder = Holder(folder)
    assert is_alive(folder, holder.token)
    program = "import sys\nfrom pathlib import Path\nfrom benchmate.store.holders import is_alive\n"
    program += "assert is_alive(Path(sys.argv[1]), sys.argv[2])"
    subprocess.run(
        [sys.executable, "-c", program, str(folder), holder.token],
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    holder.close()


def test_lock_files_of_dead_programs_are_deleted_after_a_day(folder: Path, other: "subprocess.Popen[str]") -> None:
    living = token_of(other)
    dead_for_days, just_died = folder / "aa.lock", folder / "bb.lock"
    for file in (dead_for_days, just_died):
        file.touch()
    before = time.time() - STALE - 60
    for file in (dead_for_days, folder / f"{living}.lock"):
        os.utime(file, (before, before))
    holder = Holder(folder)
    assert not dead_for_days.exists()
    assert just_died.exists()
    assert is_alive(folder, living)
    holder.close()


def test_a_lock_file_that_disappears_while_listing_does_no_harm(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder.mkdir(parents=True)
    left = folder / "aa.lock"
    real = Path.glob

    def glob(path: Path, pattern: str) -> list[Path]:
        left.touch()
        found = list(real(path, pattern))
        left.unlink()
        return found

    monkeypatch.setattr(Path, "glob", glob)
    holder = Holder(folder)
    assert is_alive(folder, holder.token)
    holder.close()


def test_a_folder_that_is_not_writable(tmp_path: Path) -> None:
    (tmp_path / "kept").touch()
    with pytest.raises(
        StoreError, match=r"kept/open cannot be written to .* No piece was changed\. Make it writable, or set"
    ):
        Holder(tmp_path / "kept" / "open")


def test_a_lock_held_by_another_program(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.urandom", lambda _: b"\xaa" * 8)
    first = Holder(folder)
    with pytest.raises(StoreError, match="locked by another program"):
        Holder(folder)
    assert is_alive(folder, first.token)
    first.close()
