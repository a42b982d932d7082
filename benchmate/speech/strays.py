"""Ending whatever a helper has started, also what has left its process group: a player may start another in a session
of its own and leave it behind.

What is guaranteed, on Linux:

- A helper adopts every process that was started below it and lost its parent. While it lives, all of them are found
  by their parents, whatever group, session or environment they have: when a prompt is cut off, when it has ended, when
  the voice is closed, and when the program that speaks is killed, because the helper notices that.
- A helper killed by somebody else leaves processes without a parent. They are found by the folder for temporary files
  in their environment, which they have from the helper unless they changed it: at once by the program that speaks, or
  if that was killed too, by the next one that does.

On other systems only the process group is ended.
"""

import os
import signal
import sys
from contextlib import suppress
from pathlib import Path

LINUX = sys.platform == "linux"
PROCESSES = Path("/proc")
ROUNDS = 20
"""How often new processes are looked for, in case they multiply while they are being killed."""
ENDED = "ZX"
"""The states of a process that has ended."""


def kill_outside_group(leader: int) -> None:
    """Kills every process below the leader of a process group that is not in the group. The leader must be alive."""
    known: set[int] = set()
    for _ in range(ROUNDS):
        # Killed processes leave theirs to the leader, so they may appear only in the next round.
        new = {pid for pid in _below(leader) - known if _runs_outside(pid, leader)}
        if not new:
            return
        known |= new
        for pid in new:
            _kill(pid)


def kill_with_folder(folder: Path) -> None:
    """Kills every process that has this folder, or one inside, as its folder for temporary files."""
    if not LINUX:
        return
    # A helper knows its folder without links.
    mark = b"\0TMPDIR=" + os.fsencode(folder.resolve())
    for name in filter(str.isdecimal, os.listdir(PROCESSES)):
        # It may end meanwhile, and those of others cannot be read.
        with suppress(OSError):
            variables = b"\0" + (PROCESSES / name / "environ").read_bytes()
            if mark + b"\0" in variables or mark + b"/" in variables:
                _kill(int(name))


def _below(pid: int) -> set[int]:
    """Every process started by this one, by those it started, and so on."""
    found: set[int] = set()
    waiting = [pid]
    while waiting and LINUX:
        new = _children(waiting.pop()) - found
        found |= new
        waiting += new
    return found


def _children(pid: int) -> set[int]:
    found: set[int] = set()
    with suppress(OSError):
        for task in (PROCESSES / str(pid) / "task").iterdir():
            found |= set(map(int, (task / "children").read_bytes().split()))
    return found


def _runs_outside(pid: int, group: int) -> bool:
    with suppress(OSError):
        # The name, in brackets, may contain anything.
        state, _, its_group = (
            (PROCESSES / str(pid) / "stat").read_text("utf-8", "replace").rpartition(")")[2].split()[:3]
        )
        return state not in ENDED and int(its_group) != group
    return False


def _kill(pid: int) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.kill(pid, signal.SIGKILL)
