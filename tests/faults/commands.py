"""Runs command lines in forked processes: the whole program, without waiting for an interpreter to start.

Each runs alone, as a crash or an endless loop in it must end nothing else.
"""

import gc
import importlib
import io
import os
import pkgutil
import resource
import select
import signal
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

import benchmate
from benchmate import cli
from benchmate.store.places import HOME
from tests.running import PATIENCE, Done

SECONDS = 10
"""The most seconds of processor time that one command may take."""


def load_all() -> None:
    """Loads all of the program but its full screen, so that forked processes have it already.

    A command imports most of what it needs only when it runs: in a forked process, again and again.
    """
    for found in pkgutil.walk_packages(benchmate.__path__, "benchmate."):
        if not found.name.startswith("benchmate.bench.") and not found.name.endswith("__main__"):
            importlib.import_module(found.name)
    importlib.import_module("benchmate.bench.start")
    gc.freeze()


def forked(*arguments: str | Path, home: Path, given: str = "") -> Done:
    """Runs one command line to its end with `given` on standard input, and everything kept in `home`."""

    def command() -> None:
        os.environ[HOME] = str(home)
        os.environ["TMPDIR"] = str(home.parent)
        sys.argv = ["benchmate", *map(str, arguments)]
        cli.run()

    return in_fork(command, given)


def in_fork(work: Callable[[], None], given: str | bytes = "") -> Done:
    """Runs `work` in a forked process with standard streams of its own. An uncaught exception ends as in Python."""
    (done,) = in_fork_with(work, [given])
    return done


def in_fork_with(work: Callable[[], None], all_given: Sequence[str | bytes]) -> list[Done]:
    """Runs `work` in a forked process for each text given on standard input, all begun at the same moment."""
    gate, opened = os.pipe()
    running = [_begun(work, given, gate, opened) for given in all_given]
    os.close(gate)
    os.close(opened)
    return [_ended(*each) for each in running]


def _begun(work: Callable[[], None], given: str | bytes, gate: int, opened: int) -> tuple[int, list[int]]:
    """A process that begins once the gate is closed by everybody else, and its standard streams."""
    streams = [os.memfd_create(name) for name in ("in", "out", "err")]
    os.write(streams[0], given.encode() if isinstance(given, str) else given)
    os.lseek(streams[0], 0, os.SEEK_SET)
    sys.stdout.flush()
    sys.stderr.flush()
    process = os.fork()
    if not process:
        os.close(opened)
        os.read(gate, 1)
        os.close(gate)
        _child(work, streams)
    return process, streams


def _ended(process: int, streams: list[int]) -> Done:
    status = _wait(process)
    out, err = map(_read, streams[1:])
    for stream in streams:
        os.close(stream)
    return Done(status, out, err)


def _child(work: Callable[[], None], streams: list[int]) -> NoReturn:
    status = 1
    try:
        for number, stream in enumerate(streams):
            os.dup2(stream, number)
        sys.stdin = io.TextIOWrapper(open(0, "rb", closefd=False), encoding="utf-8")  # noqa: SIM115
        sys.stdout = io.TextIOWrapper(open(1, "wb", closefd=False), encoding="utf-8")  # noqa: SIM115
        sys.stderr = io.TextIOWrapper(open(2, "wb", closefd=False), encoding="utf-8", line_buffering=True)  # noqa: SIM115
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        try:
            work()
            status = 0
        except SystemExit as ended:
            status = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
        except BaseException:  # As the interpreter does at its end.
            traceback.print_exc()
        sys.stdout.flush()
        sys.stderr.flush()
    finally:
        os._exit(status)


def _wait(process: int) -> int:
    handle = os.pidfd_open(process)
    try:
        if not select.select([handle], [], [], PATIENCE)[0]:
            signal.pidfd_send_signal(handle, signal.SIGKILL)
    finally:
        os.close(handle)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def _read(stream: int) -> str:
    os.lseek(stream, 0, os.SEEK_SET)
    with open(stream, "rb", closefd=False) as file:
        return file.read().decode("utf-8", "backslashreplace")


def broken(done: Done) -> str:
    """What is wrong with how a command ended, whatever it was for; empty when nothing is."""
    if "Traceback (most recent call last)" in done.err:
        return f"a traceback: {done.err.strip().splitlines()[-1]}"
    if done.status == -signal.SIGXCPU or (done.status < 0 and "XCPU" in done.err):
        return f"took over {SECONDS} s of processor time"
    if done.status not in (0, 1, 2, 3):
        return f"ended with status {done.status}"
    return ""


def has_command(name: str) -> bool:
    """Whether the program has this command."""
    return name in cli.COMMANDS


def has_option(command: str, option: str, home: Path) -> bool:
    """Whether a command has this option."""
    return option in forked(command, "--help", home=home).out
