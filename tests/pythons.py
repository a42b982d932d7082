"""Runs the program with the oldest and the newest Python on the machine that it supports.

`python -m tests.pythons` prints every Python found and what came of it. Each gets a new environment, as the README
says, so it needs a package index. It uses the standard library alone, so any Python can start it.
"""

import glob
import json
import os
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
KNOWN = ((3, 11), (3, 12), (3, 13), (3, 14))
"""The versions in use today. One that is not on the machine is named in the report."""
CONDA = ("/opt/conda", "~/miniconda3")
PLACES = (
    *(f"{folder}/python3*" for folder in ("/usr/bin", "/usr/local/bin")),
    *(f"{versions}/*/bin/python3" for versions in ("~/.pyenv/versions", "~/.local/share/uv/python")),
    *(f"{conda}{python}" for conda in CONDA for python in ("/bin/python3", "/envs/*/bin/python3")),
)
"""Where Pythons are installed, beside the folders of PATH."""
LEFT_OUT = ("PYTHON", "PIP_PYTHON", "VIRTUAL_ENV", "LC_", "XDG_", "BENCHMATE", "COLUMNS", "LINES")
"""Beginnings of environment variables that could bring the checkout or a person's own folders into a run."""


class Python(NamedTuple):
    """An interpreter on the machine."""

    version: tuple[int, int, int]
    path: str

    @property
    def name(self) -> str:
        """The version as people write it."""
        return ".".join(map(str, self.version))


def bare_environment(home: Path) -> dict[str, str]:
    """This process's environment without what could lead back to the checkout; everything is kept in `home`."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(LEFT_OUT)}
    return {**own, "LANG": "C.UTF-8", "BENCHMATE_HOME": str(home)}


def lowest() -> tuple[int, int]:
    """The oldest Python that the project declares to support."""
    text = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    found = re.fullmatch(r">=(\d+)\.(\d+)", text["project"]["requires-python"])
    assert found is not None
    return int(found[1]), int(found[2])


WHICH = """
import json, sys
if sys.implementation.name == "cpython":
    print(json.dumps([sys.version_info[:3], sys._base_executable]))
"""


def pythons() -> list[Python]:
    """Every Python on the machine that the program supports, oldest first, one of each version."""
    on_path = [f"{folder}/python3*" for folder in os.environ.get("PATH", "").split(os.pathsep)]
    files = [file for place in (*on_path, *PLACES) for file in sorted(glob.glob(os.path.expanduser(place)))]
    programs = [file for file in files if re.fullmatch(r"python3(\.\d+)?", os.path.basename(file))]
    found: dict[tuple[int, int, int], Python] = {}
    for program in dict.fromkeys([sys.executable, *map(os.path.realpath, programs), *programs]):
        python = ask(program)
        if python is not None and python.version >= lowest():
            found.setdefault(python.version, python)
    return sorted(found.values())


def ask(program: str) -> Python | None:
    """The Python behind a program; None for one that does not start, or is of another kind."""
    try:
        done = subprocess.run(
            [program, "-I", "-c", WHICH],
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
            stdin=subprocess.DEVNULL,
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    if done.returncode or not done.stdout.strip():
        return None
    (major, minor, micro), path = json.loads(done.stdout)
    return Python((major, minor, micro), path)


def ends(found: list[Python]) -> list[Python]:
    """The oldest and the newest of them."""
    return [python for python in found if python in (found[0], found[-1])]


def missing(found: Iterable[Python]) -> list[str]:
    """The known versions that none of them is of."""
    there = {python.version[:2] for python in found}
    return [f"{major}.{minor}" for major, minor in KNOWN if (major, minor) not in there]


COMPILE = """
import pathlib, sys, warnings
warnings.simplefilter("error")
files = sorted(pathlib.Path(sys.argv[1]).rglob("*.py"))
for file in files:
    compile(file.read_bytes(), str(file), "exec", dont_inherit=True)
print(len(files))
"""
"""Compiles every module in a folder with warnings as errors, and writes nothing."""

IMPORT = """
import importlib, pathlib, pkgutil, warnings
warnings.filterwarnings("error", module=r"benchmate\\b")
import benchmate
names = [found.name for found in pkgutil.walk_packages(benchmate.__path__, "benchmate.")]
for name in names:
    if not name.endswith("__main__"):
        importlib.import_module(name)
print(len(names))
"""


def compile_all(python: Python, folder: Path) -> int:
    """Compiles every module in a folder with a Python; returns how many. Raises CalledProcessError."""
    return int(_run([python.path, "-I", "-c", COMPILE, str(folder)], folder.parent, folder.parent))


def install_and_run(python: Python, folder: Path) -> str:
    """Sets the program up in an empty environment as the README says, and follows a design; returns what was done.

    Raises CalledProcessError, with the output, when a part of it fails.
    """
    compiled = compile_all(python, ROOT / "benchmate")
    environment, home = folder / "environment", folder / "home"
    _run([python.path, "-m", "venv", str(environment)], folder, home)
    _run([str(environment / "bin" / "pip"), "install", "-q", "--disable-pip-version-check", str(ROOT)], folder, home)
    imported = int(_run([str(environment / "bin" / "python"), "-c", IMPORT], folder, home))
    program = str(environment / "bin" / "benchmate")
    _run([program, "check", "tidewater-chevron"], folder, home)
    followed = _run([program, "follow", "tidewater-chevron", "--plain"], folder, home, given="\n\nb\nq\n")
    (piece,) = json.loads(_run([program, "pieces", "--json"], folder, home))
    counts = [line.split("/")[0] for line in followed.splitlines()]
    assert (counts, piece["done"]) == (["1", "2", "3", "2"], 1), followed
    return f"{compiled} modules compiled, {imported} imported, a design followed"


def _run(command: list[str], folder: Path, home: Path, given: str = "") -> str:
    done = subprocess.run(
        command, cwd=folder, env=bare_environment(home), input=given, capture_output=True, text=True, check=False
    )
    if done.returncode:
        print(done.stdout, done.stderr, sep="\n", file=sys.stderr)
    done.check_returncode()
    return done.stdout


def main() -> None:
    """Runs the program with the oldest and the newest, and says what there is."""
    found = pythons()
    tried = ends(found)
    for python in found:
        what = "between the oldest and the newest, not tried"
        if python in tried:
            with tempfile.TemporaryDirectory() as folder:
                what = install_and_run(python, Path(folder))
        print(f"Python {python.name} ({python.path}): {what}", flush=True)
    for version in missing(found):
        print(f"Python {version}: not on this machine, not tried")


if __name__ == "__main__":
    main()
