"""The program, loaded once and forked for each command line: what `running.run` does, in a fifth of its time.

For tests of what a command says and keeps. Tests of how a program starts, reads its environment, meets pipes or runs
beside another one start an interpreter with `running.run`. `python -m tests.loaded` is the process that forks; it reads
requests on standard input and ends with it.
"""

import atexit
import base64
import io
import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from functools import cache, partial
from pathlib import Path
from typing import Any

from benchmate import cli
from tests.faults.commands import in_fork, load_all
from tests.running import ROOT, Done, environment

_ONE_AT_A_TIME = threading.Lock()


def run(
    *arguments: str | Path | bytes,
    home: Path,
    given: str | bytes = "",
    env: Mapping[str, str] | None = None,
    cwd: Path | None = None,
) -> Done:
    """Runs one command line to its end with `given` on standard input."""
    typed = given.encode() if isinstance(given, str) else given
    request = {
        "arguments": [os.fsdecode(each) for each in arguments],
        "given": base64.b64encode(typed).decode(),
        "environment": environment(home, env),
        "folder": os.fspath(cwd or Path.cwd()),
    }
    with _ONE_AT_A_TIME:
        program = _program()
        assert program.stdin is not None
        assert program.stdout is not None
        program.stdin.write(json.dumps(request) + "\n")
        program.stdin.flush()
        return Done(*json.loads(program.stdout.readline()))


@cache
def _program() -> subprocess.Popen[str]:
    """The process that forks. It sees the end of its input when this one ends, however that happens."""
    command = [sys.executable, "-m", "tests.loaded"]
    program = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT)
    atexit.register(program.communicate)
    return program


def _serve() -> None:
    load_all()
    for line in sys.stdin:
        request = json.loads(line)
        done = in_fork(partial(_command, request), base64.b64decode(request["given"]))
        print(json.dumps(done), flush=True)


def _command(request: dict[str, Any]) -> None:
    os.environ.clear()
    os.environ.update(request["environment"])
    os.chdir(request["folder"])
    time.tzset()
    sys.argv = ["benchmate", *request["arguments"]]
    for stream in (sys.stdin, sys.stdout):
        assert isinstance(stream, io.TextIOWrapper)
        # As an interpreter sets them up that starts with this locale.
        stream.reconfigure(errors="surrogateescape")
    cli.run()


if __name__ == "__main__":
    _serve()
