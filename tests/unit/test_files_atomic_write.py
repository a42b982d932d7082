"""Writing a file completely or not at all."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.files.atomic_write import STALE_AFTER, AlreadyExists, NotWritten, temporary_beside, write_atomically
from tests.running import ROOT


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "band.svg"


def names(file: Path) -> list[str]:
    """Everything in the file's folder."""
    return sorted(each.name for each in file.parent.iterdir())


def test_a_new_file_holds_exactly_the_data(file: Path) -> None:
    write_atomically(file, b"ours\r\n\x00")
    assert file.read_bytes() == b"ours\r\n\x00"
    assert names(file) == ["band.svg"]
    write_atomically(str(file), b"", force=True)
    assert file.read_bytes() == b""


def test_a_name_without_a_folder(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(file.parent)
    write_atomically("band.svg", b"ours")
    assert file.read_bytes() == b"ours"
    assert names(file) == ["band.svg"]


def test_an_existing_file_is_kept_without_force(file: Path) -> None:
    file.write_bytes(b"mine")
    with pytest.raises(AlreadyExists, match="this file exists already; add --force to overwrite it"):
        write_atomically(file, b"ours")
    assert file.read_bytes() == b"mine"
    write_atomically(file, b"ours", force=True)
    assert file.read_bytes() == b"ours"
    assert names(file) == ["band.svg"]


def test_a_file_created_by_another_program_is_kept(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fsync

    def another_writes(descriptor: int) -> None:
        file.write_bytes(b"theirs")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", another_writes)
    with pytest.raises(AlreadyExists):
        write_atomically(file, b"ours")
    assert file.read_bytes() == b"theirs"
    assert names(file) == ["band.svg"]


@pytest.mark.parametrize("there", [True, False])
def test_a_link_stays_and_its_target_is_written(file: Path, tmp_path: Path, there: bool) -> None:
    real = tmp_path / "elsewhere" / "real.svg"
    real.parent.mkdir()
    if there:
        real.write_bytes(b"mine")
    file.symlink_to(real)
    with pytest.raises(AlreadyExists):
        write_atomically(file, b"ours")
    assert real.exists() == there
    write_atomically(file, b"ours", force=True)
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
def test_a_folder_pipe_or_device_is_never_replaced(file: Path, make: Callable[[Path], None], why: str) -> None:
    make(file)
    before = os.stat(file)
    with pytest.raises(NotWritten, match=why):
        write_atomically(file, b"ours", force=True)
    after = os.stat(file)
    assert (after.st_ino, after.st_dev, after.st_mode) == (before.st_ino, before.st_dev, before.st_mode)
    assert names(file) == ["band.svg"]


@pytest.mark.parametrize("force", [True, False])
def test_a_full_disk_leaves_no_new_file_and_keeps_the_old_one(
    file: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    if force:
        file.write_bytes(b"mine")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match=r"^this file cannot be written: No space left on device$"):
        write_atomically(file, b"ours", force=force)
    assert names(file) == (["band.svg"] if force else [])
    if force:
        assert file.read_bytes() == b"mine"


def test_a_missing_folder_and_a_name_too_long_are_reported(file: Path) -> None:
    for nowhere in (file.parent / "nowhere" / "band.svg", file.parent / ("x" * 300)):
        with pytest.raises(NotWritten, match=r"this file cannot be written: (No such file|File name too long)"):
            write_atomically(nowhere, b"ours")
    assert names(file) == []


def test_only_files_left_by_killed_programs_are_removed(file: Path) -> None:
    mark = "0123456789abcdef"
    left = {f"band.svg.{mark}.new", f"band.svg.{mark}.new-journal"}
    others = {
        f"band.svg.{mark[1:]}.new",
        f"band.svg.{mark}.newer",
        "band.svg.new",
        f"band.png.{mark}.new",
        "band.svg.old",
    }
    before = time.time() - STALE_AFTER - 60
    for name in left | others:
        file.with_name(name).touch()
        os.utime(file.with_name(name), (before, before))
    in_use = file.with_name(f"band.svg.{mark[::-1]}.new")
    in_use.touch()
    write_atomically(file, b"ours")
    assert set(names(file)) == {"band.svg", in_use.name, *others}


def test_every_temporary_file_has_a_name_of_its_own_and_is_removed_at_the_end(file: Path) -> None:
    with temporary_beside(file) as first, temporary_beside(file) as second:
        assert first != second
        assert len(names(file)) == 2
        os.replace(second, file)
    assert names(file) == ["band.svg"]


def interrupted_write(file: Path) -> None:
    """Writes part of a file, then is interrupted."""
    with temporary_beside(file) as fresh:
        Path(fresh).write_bytes(b"half")
        raise KeyboardInterrupt


def test_an_interrupted_write_leaves_nothing(file: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        interrupted_write(file)
    assert names(file) == []


def test_a_kill_during_the_write_leaves_the_old_file(file: Path) -> None:
    file.write_bytes(b"mine")
    program = (
        "import os, signal, sys\nfrom benchmate.files.atomic_write import write_atomically\n"
        "os.fsync = lambda descriptor: os.kill(os.getpid(), signal.SIGKILL)\n"
        "write_atomically(sys.argv[1], b'ours', force=True)"
    )
    command = [sys.executable, "-c", program, str(file)]
    done = subprocess.run(command, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False)
    assert done.returncode == -9
    assert file.read_bytes() == b"mine"
    (left,) = set(names(file)) - {"band.svg"}
    before = time.time() - STALE_AFTER - 60
    os.utime(file.with_name(left), (before, before))
    write_atomically(file, b"ours", force=True)
    assert file.read_bytes() == b"ours"
    assert names(file) == ["band.svg"]
