"""The full screen, loaded once and forked for each start: a third of the processor time of a new interpreter's.

For tests of what a bench does once it is there. Tests of how one starts, of what it inherits, and of programs that a
shell starts have an interpreter started by `Terminal`. `python -m tests.loaded_screen` is the process that forks; it
reads requests from a socket and ends with it.
"""

import atexit
import importlib
import json
import os
import pkgutil
import select
import signal
import socket
import subprocess
import sys
import threading
import time
import traceback
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import cache
from io import TextIOWrapper
from pathlib import Path
from typing import Any, NoReturn

from tests.faults.commands import load_all

ROOT = Path(__file__).resolve().parents[1]
_ONE_AT_A_TIME = threading.Lock()
_LARGEST = 1 << 20
"""Bytes of the largest request."""


class Forked:
    """A program that was forked on a terminal. The process that waits for it tells how it ended, in a pipe."""

    def __init__(self, told: int) -> None:
        self._told = told
        self._text = b""
        self._status: int | None = None
        while b"\n" not in self._text:
            self._read()
        what, number = self._text.split()[:2]
        assert what == b"began", "the program could not take the terminal"
        self.pid = int(number)
        os.set_blocking(told, False)

    def poll(self) -> int | None:
        """The exit status, or minus the number of the signal that killed it; None while it runs."""
        if self._status is None:
            with suppress(BlockingIOError):
                while self._text.count(b"\n") < 2:
                    self._read()
                self._status = os.waitstatus_to_exitcode(int(self._text.split()[3]))
                os.close(self._told)
        return self._status

    def wait(self) -> int:
        """Waits for its end; the exit status as `poll` gives it."""
        while (status := self.poll()) is None:
            select.select([self._told], [], [])
        return status

    def _read(self) -> None:
        more = os.read(self._told, 64)
        assert more, "the process that forks has ended"
        self._text += more


def forked(argv: Sequence[str], tty: str, env: Mapping[str, str], cwd: Path | None) -> Forked:
    """Starts `python -m benchmate …` on a terminal, in a session of its own."""
    assert list(argv[:3]) == [sys.executable, "-m", "benchmate"]
    request = {"arguments": argv[3:], "tty": tty, "environment": dict(env), "folder": os.fspath(cwd or Path.cwd())}
    told, tells = os.pipe()
    try:
        with _ONE_AT_A_TIME:
            socket.send_fds(_server(), [json.dumps(request).encode()], [tells])
    finally:
        os.close(tells)
    return Forked(told)


@cache
def _server() -> socket.socket:
    """The process that forks. It sees the end of its input when this one ends, however that happens."""
    ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    ours.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _LARGEST)
    with theirs:
        command = [sys.executable, "-m", "tests.loaded_screen", str(theirs.fileno())]
        program = subprocess.Popen(command, pass_fds=[theirs.fileno()], cwd=ROOT, start_new_session=True)

    def end() -> None:
        ours.close()
        program.wait()

    atexit.register(end)
    return ours


def _serve(connection: socket.socket) -> None:
    import benchmate.bench

    for found in pkgutil.walk_packages(benchmate.bench.__path__, "benchmate.bench."):
        importlib.import_module(found.name)
    load_all()
    signal.signal(signal.SIGCHLD, _reap)
    while True:
        data, handles, *_ = socket.recv_fds(connection, _LARGEST, 1)
        if not data:
            return
        if not os.fork():
            connection.close()
            _start(json.loads(data), handles[0])
        os.close(handles[0])


def _reap(*_: object) -> None:
    """Takes note of the end of those that waited for a program."""
    with suppress(ChildProcessError):
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass


def _start(request: dict[str, Any], tells: int) -> NoReturn:
    """Forks the program, which tells its number; tells how it ended when it has."""
    try:
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        process = os.fork()
        if not process:
            _program(request, tells)
        status = os.waitpid(process, 0)[1]
        # A test that has ended already is no longer told.
        with suppress(BrokenPipeError):
            os.write(tells, f"ended {status}\n".encode())
    finally:
        os._exit(0)


def _program(request: dict[str, Any], tells: int) -> NoReturn:
    """What an interpreter that starts on this terminal does, once everything is loaded."""
    status = 1
    try:
        os.setsid()
        terminal = os.open(request["tty"], os.O_RDWR)
        for number in range(3):
            os.dup2(terminal, number)
        os.close(terminal)
        # Only now may the other side let go of the terminal, which would else be gone.
        os.write(tells, f"began {os.getpid()}\n".encode())
        os.close(tells)
        os.environ.clear()
        os.environ.update(request["environment"])
        os.chdir(request["folder"])
        time.tzset()
        sys.argv = ["benchmate", *request["arguments"]]
        modes: tuple[tuple[str, int, str], ...] = (("stdin", 0, "rb"), ("stdout", 1, "wb"), ("stderr", 2, "wb"))
        for name, number, mode in modes:
            stream = TextIOWrapper(
                open(number, mode, closefd=False),  # noqa: SIM115
                encoding="utf-8",
                errors="backslashreplace" if name == "stderr" else "surrogateescape",
                line_buffering=True,
            )
            setattr(sys, name, stream)
            setattr(sys, f"__{name}__", stream)
        try:
            from benchmate import cli

            cli.run()
            status = 0
        except SystemExit as ended:
            status = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
        except BaseException:  # As the interpreter does at its end.
            traceback.print_exc()
        threading._shutdown()  # type: ignore[attr-defined]
        atexit._run_exitfuncs()
        sys.stdout.flush()
        sys.stderr.flush()
    finally:
        os._exit(status)


if __name__ == "__main__":
    _serve(socket.socket(fileno=int(sys.argv[1])))
