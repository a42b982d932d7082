"""Writing to pipes and devices that have a name."""

import os
import pty
import stat
import threading
import tty
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.files.atomic_write import DiskFull, NotWritten
from benchmate.files.pipe_or_device import is_pipe_or_device, write_through

MUCH = bytes(range(256)) * 1000
"""More than a pipe holds."""


@pytest.fixture
def pipe(tmp_path: Path) -> Path:
    file = tmp_path / "pipe.yaml"
    os.mkfifo(file, 0o640)
    return file


class Reader(threading.Thread):
    """Reads a pipe to its end."""

    def __init__(self, pipe: Path) -> None:
        super().__init__(daemon=True)
        self._pipe = pipe
        self.read = b""

    def run(self) -> None:
        self.read = self._pipe.read_bytes()


def never() -> None:
    raise AssertionError("nothing is waited for")


def test_all_of_it_goes_into_a_pipe_which_stays(pipe: Path) -> None:
    before = os.stat(pipe)
    # Opened to read before anything is written, so that nothing has to wait.
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    write_through(str(pipe), b"ours", never)
    assert os.read(reader, 100) == b"ours"
    os.close(reader)
    after = os.stat(pipe)
    assert (after.st_ino, after.st_mode) == (before.st_ino, before.st_mode)
    assert os.listdir(pipe.parent) == [pipe.name]


def test_a_pipe_that_nobody_reads_is_waited_for_and_that_is_said(pipe: Path) -> None:
    reader, said = Reader(pipe), []

    def waiting() -> None:
        said.append("waiting")
        reader.start()

    write_through(str(pipe), MUCH, waiting)
    reader.join()
    assert (reader.read, said) == (MUCH, ["waiting"])


def test_a_reader_that_leaves_too_early_is_reported(pipe: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    real = os.write

    def leaves_after_the_first(descriptor: int, data: memoryview) -> int:
        written = real(descriptor, data[:100])
        os.close(reader)
        return written

    calls: list[Callable[[int, memoryview], int]] = [leaves_after_the_first]
    monkeypatch.setattr(os, "write", lambda descriptor, data: (calls.pop() if calls else real)(descriptor, data))
    with pytest.raises(NotWritten, match="the program that reads this pipe ended before all was written"):
        write_through(str(pipe), MUCH, never)
    assert stat.S_ISFIFO(os.stat(pipe).st_mode)


def test_a_terminal_is_written_to(tmp_path: Path) -> None:
    master, slave = pty.openpty()
    try:
        tty.setraw(slave)
        link = tmp_path / "terminal.yaml"
        link.symlink_to(os.ttyname(slave))
        assert is_pipe_or_device(str(link))
        write_through(str(link), b"ours\n", never)
        assert os.read(master, 100) == b"ours\n"
        assert link.is_symlink()
    finally:
        os.close(slave)
        os.close(master)


def test_a_device_of_our_own_with_nothing_behind_it(tmp_path: Path) -> None:
    device = tmp_path / "device.yaml"
    try:
        os.mknod(device, stat.S_IFCHR | 0o600, os.makedev(0, 0))
    except PermissionError:
        pytest.skip("only some may make a device node")
    assert is_pipe_or_device(str(device))
    with pytest.raises(NotWritten, match="this file cannot be written: "):
        write_through(str(device), b"ours", never)
    assert stat.S_ISCHR(os.stat(device).st_mode)


def test_what_has_become_a_file_in_the_meantime_is_not_touched(tmp_path: Path) -> None:
    file = tmp_path / "rain.yaml"
    file.write_bytes(b"mine")
    with pytest.raises(NotWritten, match="a moment ago"):
        write_through(str(file), b"ours", never)
    assert file.read_bytes() == b"mine"
    file.unlink()
    with pytest.raises(NotWritten, match="No such file"):
        write_through(str(file), b"ours", never)
    assert not file.exists()


def test_a_full_disk_behind_it(pipe: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int, data: memoryview) -> int:
        raise OSError(28, "No space left on device")

    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    monkeypatch.setattr(os, "write", full)
    with pytest.raises(DiskFull, match="disk full; the output is incomplete"):
        write_through(str(pipe), b"ours", never)
    os.close(reader)


def test_all_else_is_neither(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    for name in ("file", "link", "nowhere", "nul\0", "."):
        assert not is_pipe_or_device(str(tmp_path / name))
