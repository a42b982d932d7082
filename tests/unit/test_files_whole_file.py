"""Writing a file whole or not at all."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.files.whole_file import UNFINISHED, Exists, NotWritten, unfinished, write_whole
from tests.running import ROOT


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "band.svg"


def names(file: Path) -> list[str]:
    """All there is beside the file and itself."""
    return sorted(each.name for each in file.parent.iterdir())


def test_a_new_file_holds_just_what_was_given(file: Path) -> None:
    write_whole(file, b"ours\r\n\x00")
    assert file.read_bytes() == b"ours\r\n\x00"
    assert names(file) == ["band.svg"]
    write_whole(str(file), b"", force=True)
    assert file.read_bytes() == b""


def test_the_current_folder_needs_no_name(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(file.parent)
    write_whole("band.svg", b"ours")
    assert file.read_bytes() == b"ours"
    assert names(file) == ["band.svg"]


def test_a_file_that_exists_is_left_unless_forced(file: Path) -> None:
    file.write_bytes(b"mine")
    with pytest.raises(Exists, match="there is such a file already: add --force to write over it"):
        write_whole(file, b"ours")
    assert file.read_bytes() == b"mine"
    write_whole(file, b"ours", force=True)
    assert file.read_bytes() == b"ours"
    assert names(file) == ["band.svg"]


def test_a_file_that_comes_to_be_meanwhile_is_left(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fsync

    def another_writes(descriptor: int) -> None:
        file.write_bytes(b"theirs")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", another_writes)
    with pytest.raises(Exists):
        write_whole(file, b"ours")
    assert file.read_bytes() == b"theirs"
    assert names(file) == ["band.svg"]


@pytest.mark.parametrize("there", [True, False])
def test_a_link_stays_and_what_it_leads_to_is_written(file: Path, tmp_path: Path, there: bool) -> None:
    real = tmp_path / "elsewhere" / "real.svg"
    real.parent.mkdir()
    if there:
        real.write_bytes(b"mine")
    file.symlink_to(real)
    with pytest.raises(Exists):
        write_whole(file, b"ours")
    assert real.exists() == there
    write_whole(file, b"ours", force=True)
    assert file.is_symlink()
    assert real.read_bytes() == b"ours"
    assert names(real) == ["real.svg"]


def a_folder(file: Path) -> None:
    file.mkdir()


def a_pipe(file: Path) -> None:
    os.mkfifo(file)


def a_device(file: Path) -> None:
    file.symlink_to(os.devnull)


@pytest.mark.parametrize(
    ("make", "why"),
    [(a_folder, "a folder, not a file"), (a_pipe, "not a regular file"), (a_device, "not a regular file")],
)
def test_what_is_no_file_is_never_replaced(file: Path, make: Callable[[Path], None], why: str) -> None:
    make(file)
    before = os.stat(file)
    with pytest.raises(NotWritten, match=why):
        write_whole(file, b"ours", force=True)
    after = os.stat(file)
    assert (after.st_ino, after.st_dev, after.st_mode) == (before.st_ino, before.st_dev, before.st_mode)
    assert names(file) == ["band.svg"]


@pytest.mark.parametrize("force", [True, False])
def test_without_room_nothing_is_left_and_nothing_lost(
    file: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    if force:
        file.write_bytes(b"mine")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match=r"^this file cannot be written: No space left on device$"):
        write_whole(file, b"ours", force=force)
    assert names(file) == (["band.svg"] if force else [])
    if force:
        assert file.read_bytes() == b"mine"


def test_a_place_that_is_not_there_is_said(file: Path) -> None:
    for nowhere in (file.parent / "nowhere" / "band.svg", file.parent / ("x" * 300)):
        with pytest.raises(NotWritten, match=r"this file cannot be written: (No such file|File name too long)"):
            write_whole(nowhere, b"ours")
    assert names(file) == []


def test_what_a_killed_program_left_is_cleared_and_nothing_else(file: Path) -> None:
    mark = "0123456789abcdef"
    left = {f"band.svg.{mark}.new", f"band.svg.{mark}.new-journal"}
    kept = {
        f"band.svg.{mark[1:]}.new",
        f"band.svg.{mark}.newer",
        "band.svg.new",
        f"band.png.{mark}.new",
        "band.svg.old",
    }
    before = time.time() - UNFINISHED - 60
    for name in left | kept:
        file.with_name(name).touch()
        os.utime(file.with_name(name), (before, before))
    at_work = file.with_name(f"band.svg.{mark[::-1]}.new")
    at_work.touch()
    write_whole(file, b"ours")
    assert set(names(file)) == {"band.svg", at_work.name, *kept}


def test_an_unfinished_file_is_nobody_elses_and_gone_at_the_end(file: Path) -> None:
    with unfinished(file) as first, unfinished(file) as second:
        assert first != second
        assert len(names(file)) == 2
        os.replace(second, file)
    assert names(file) == ["band.svg"]


def broken_off(file: Path) -> None:
    """Fills a file, and is told to stop before it is whole."""
    with unfinished(file) as fresh:
        Path(fresh).write_bytes(b"half")
        raise KeyboardInterrupt


def test_what_is_broken_off_leaves_nothing(file: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        broken_off(file)
    assert names(file) == []


def test_killed_while_it_writes_it_leaves_the_file_as_it_was(file: Path) -> None:
    file.write_bytes(b"mine")
    program = (
        "import os, signal, sys\nfrom benchmate.files.whole_file import write_whole\n"
        "os.fsync = lambda descriptor: os.kill(os.getpid(), signal.SIGKILL)\n"
        "write_whole(sys.argv[1], b'ours', force=True)"
    )
    command = [sys.executable, "-c", program, str(file)]
    done = subprocess.run(command, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False)
    assert done.returncode == -9
    assert file.read_bytes() == b"mine"
    (left,) = set(names(file)) - {"band.svg"}
    before = time.time() - UNFINISHED - 60
    os.utime(file.with_name(left), (before, before))
    write_whole(file, b"ours", force=True)
    assert file.read_bytes() == b"ours"
    assert names(file) == ["band.svg"]
