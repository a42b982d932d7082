"""Writing a file completely or not at all."""

import errno
import os
import socket
import stat
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from benchmate.files.atomic_write import (
    STALE_AFTER,
    AlreadyExists,
    DiskFull,
    NotWritten,
    temporary_beside,
    write_atomically,
)
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
    with pytest.raises(AlreadyExists, match="this file exists" if there else "this link leads to no file; add --force"):
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


def a_socket(file: Path) -> None:
    # The path of a socket is at most about 100 bytes long.
    before = os.getcwd()
    os.chdir(file.parent)
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(file.name)
    finally:
        os.chdir(before)


def a_block_device(file: Path) -> None:
    try:
        # Number 0 of kind 0: no device at all.
        os.mknod(file, stat.S_IFBLK | 0o600, os.makedev(0, 0))
    except PermissionError:
        pytest.skip("only some may make a device node")


def a_link_to_itself(file: Path) -> None:
    file.symlink_to(file)


@pytest.mark.parametrize("force", [True, False])
@pytest.mark.parametrize(
    ("make", "why"),
    [
        (a_folder, "this is a folder, not a file"),
        (a_pipe, "this is a device or a pipe, not a regular file"),
        (a_device, "this is a device or a pipe, not a regular file"),
        (a_socket, "this is a socket, not a file"),
        (a_block_device, "this is a disk or another block device, not a file"),
        (a_link_to_itself, "this file cannot be written: Too many levels of symbolic links"),
    ],
)
def test_only_a_plain_file_is_ever_replaced(file: Path, make: Callable[[Path], None], why: str, force: bool) -> None:
    make(file)
    before = os.lstat(file)
    with pytest.raises(NotWritten, match=f"^{why}$"):
        write_atomically(file, b"ours", force=force)
    after = os.lstat(file)
    assert (after.st_ino, after.st_dev, after.st_mode) == (before.st_ino, before.st_dev, before.st_mode)
    assert names(file) == ["band.svg"]


@contextmanager
def umask(bits: int) -> Iterator[None]:
    before = os.umask(bits)
    try:
        yield
    finally:
        os.umask(before)


def mode_of(file: str | Path) -> int:
    return stat.S_IMODE(os.stat(file).st_mode)


@pytest.mark.parametrize("mode", [0o600, 0o444, 0o664, 0o755, 0o4750])
def test_a_file_that_is_replaced_keeps_its_mode(file: Path, mode: int, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []
    real = os.fsync

    def watched(descriptor: int) -> None:
        seen.append(stat.S_IMODE(os.fstat(descriptor).st_mode))
        real(descriptor)

    file.write_bytes(b"mine")
    file.chmod(mode)
    monkeypatch.setattr(os, "fsync", watched)
    with umask(0o022):
        write_atomically(file, b"ours", force=True)
        assert (file.read_bytes(), mode_of(file)) == (b"ours", mode)
        link = file.with_name("link.svg")
        link.symlink_to(file)
        write_atomically(link, b"again", force=True)
        assert (file.read_bytes(), mode_of(file)) == (b"again", mode)
        # The temporary file is not there for more people either.
        with temporary_beside(file) as fresh:
            assert mode_of(fresh) == mode | 0o600
    assert seen == [mode, mode]


@pytest.mark.parametrize(("bits", "mode"), [(0o022, 0o644), (0o077, 0o600), (0, 0o666)])
def test_a_new_file_has_the_usual_mode(file: Path, bits: int, mode: int) -> None:
    with umask(bits):
        write_atomically(file, b"ours")
        with temporary_beside(file.with_name("other")) as fresh:
            assert mode_of(fresh) == mode
    assert mode_of(file) == mode


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser may give files away")
def test_a_file_that_is_replaced_keeps_its_owner_and_group(file: Path) -> None:
    file.write_bytes(b"mine")
    os.chown(file, 12345, 54321)
    file.chmod(0o640)
    write_atomically(file, b"ours", force=True)
    after = os.stat(file)
    assert (after.st_uid, after.st_gid, stat.S_IMODE(after.st_mode)) == (12345, 54321, 0o640)


@pytest.mark.parametrize(("mode", "given"), [(0o664, 0o644), (0o640, 0o600), (0o6755, 0o755), (0o600, 0o600)])
def test_another_group_gets_no_more_rights_than_everybody(
    file: Path, mode: int, given: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    file.write_bytes(b"mine")
    file.chmod(mode)
    real = os.lstat

    def of_another_group(path: str) -> os.stat_result:
        found = list(real(path))
        found[stat.ST_GID] += 1
        return os.stat_result(found)

    def not_allowed(descriptor: int, owner: int, group: int) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "lstat", of_another_group)
    monkeypatch.setattr(os, "fchown", not_allowed)
    write_atomically(file, b"ours", force=True)
    assert mode_of(file) == given


# File systems without hard links


@pytest.fixture(params=["EPERM", "EOPNOTSUPP", "ENOSYS", "EXDEV", "EMLINK", "EACCES", "EINVAL"])
def no_hard_links(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    number = getattr(errno, request.param)

    def refused(source: str, target: str) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "link", refused)


@pytest.mark.usefixtures("no_hard_links")
def test_a_file_is_written_without_hard_links(file: Path) -> None:
    with umask(0o027):
        write_atomically(file, b"ours")
    assert (file.read_bytes(), mode_of(file), names(file)) == (b"ours", 0o640, ["band.svg"])
    with pytest.raises(AlreadyExists):
        write_atomically(file, b"again")
    assert file.read_bytes() == b"ours"
    write_atomically(file, b"again", force=True)
    assert (file.read_bytes(), names(file)) == (b"again", ["band.svg"])


@pytest.mark.usefixtures("no_hard_links")
def test_without_hard_links_a_file_of_another_program_is_kept(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fsync

    def another_writes(descriptor: int) -> None:
        file.write_bytes(b"theirs")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", another_writes)
    with pytest.raises(AlreadyExists):
        write_atomically(file, b"ours")
    assert (file.read_bytes(), names(file)) == (b"theirs", ["band.svg"])


@pytest.mark.usefixtures("no_hard_links")
@pytest.mark.parametrize("replaces", [True, False])
def test_without_hard_links_another_program_may_take_the_name_at_the_last_moment(
    file: Path, monkeypatch: pytest.MonkeyPatch, replaces: bool
) -> None:
    real = os.lstat
    asked: list[str] = []

    def another_writes(path: str) -> os.stat_result:
        # Asked for once the name is ours: another program writes to that file, or puts its own there.
        if path == str(file) and file.exists() and not asked:
            asked.append(path)
            if replaces:
                file.unlink()
            file.write_bytes(b"" if replaces else b"theirs")
        return real(path)

    monkeypatch.setattr(os, "lstat", another_writes)
    with pytest.raises(AlreadyExists):
        write_atomically(file, b"ours")
    assert asked
    assert (file.read_bytes(), names(file)) == (b"" if replaces else b"theirs", ["band.svg"])


@pytest.mark.usefixtures("no_hard_links")
@pytest.mark.parametrize("error", [OSError(errno.EIO, "Input/output error"), KeyboardInterrupt()])
def test_without_hard_links_a_failure_leaves_nothing(
    file: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    def fails(source: str, target: str) -> None:
        raise error

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises((NotWritten, KeyboardInterrupt)):
        write_atomically(file, b"ours")
    assert names(file) == []


# Long names


@pytest.mark.parametrize("name", ["x" * 255, "é" * 127, "縄" * 85, "x" * 101, "x" * 96 + ".縄縄"])
def test_a_name_may_be_as_long_as_the_file_system_allows(file: Path, name: str) -> None:
    long = file.with_name(name)
    write_atomically(long, b"ours")
    assert (long.read_bytes(), names(file)) == (b"ours", [name])
    with pytest.raises(AlreadyExists):
        write_atomically(long, b"ours")
    write_atomically(long, b"again", force=True)
    with temporary_beside(long) as fresh:
        # SQLite adds to it.
        Path(f"{fresh}-journal").touch()
        before = time.time() - STALE_AFTER - 60
        for left in (fresh, f"{fresh}-journal"):
            os.utime(left, (before, before))
        write_atomically(long, b"and again", force=True)
        assert names(file) == [name]
    assert long.read_bytes() == b"and again"


@pytest.mark.parametrize("force", [True, False])
def test_a_name_too_long_or_impossible_is_reported(file: Path, force: bool) -> None:
    for name, why in (
        ("x" * 256, "this file cannot be written: File name too long"),
        ("x\0", "no file name can contain"),
    ):
        with pytest.raises(NotWritten, match=why):
            write_atomically(str(file.parent / name), b"ours", force=force)
    assert names(file) == []


def test_a_folder_that_can_be_written_to_but_not_listed(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_allowed(path: str) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(os, "scandir", not_allowed)
        write_atomically(file, b"ours")
    assert (file.read_bytes(), names(file)) == (b"ours", ["band.svg"])


@pytest.mark.parametrize("force", [True, False])
def test_a_full_disk_leaves_no_new_file_and_keeps_the_old_one(
    file: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    if force:
        file.write_bytes(b"mine")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskFull, match=r"^disk full; this file was not written$"):
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
