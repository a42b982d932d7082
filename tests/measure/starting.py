"""Starting programs like an installed command: by a small script, from compiled modules."""

import compileall
import os
import sys
from pathlib import Path

from benchmate.store.places import HOME

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = "import sys\nfrom benchmate.cli import run\nsys.exit(run())\n"
BARE = "import sys\nfrom tests.measure.bare import BareApp\nBareApp(*map(int, sys.argv[1:])).run()\n"
NOTHING = "pass"
PEAK = """import sys
from benchmate.cli import run
try:
    run()
finally:
    with open("/proc/self/status") as status:
        print(next(line for line in status if line.startswith("VmHWM:")).split()[1], file=sys.stderr)
"""
"""The program; at its end it prints its peak memory in KiB on standard error."""


class Scripts:
    """The scripts in `folder` that start the program and the bare app."""

    def __init__(self, folder: Path) -> None:
        """Writes the scripts and compiles the program's modules, as an installer does."""
        for package in ("benchmate", "tests"):
            compileall.compile_dir(ROOT / package, quiet=2)
        self._folder = folder
        for name, text in (("benchmate", PROGRAM), ("bare", BARE), ("peak", PEAK)):
            (folder / name).write_text(text, encoding="utf-8")

    def program(self, *arguments: str) -> list[str]:
        """The command line that runs the program."""
        return [sys.executable, str(self._folder / "benchmate"), *arguments]

    def peak(self, *arguments: str) -> list[str]:
        """The command line that runs the program and prints its peak memory."""
        return [sys.executable, str(self._folder / "peak"), *arguments]

    def bare(self, count: int, of: int) -> list[str]:
        """The command line that runs the bare app, its counter at `count`."""
        return [sys.executable, str(self._folder / "bare"), str(count), str(of)]


def changes_of_environment(home: Path) -> dict[str, str]:
    """Changes to the environment: no Python settings, which may forbid compiled modules, and a home."""
    unset = {name: "" for name in os.environ if name.startswith("PYTHON")}
    return {**unset, "PYTHONPATH": str(ROOT), HOME: str(home)}
