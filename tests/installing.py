"""Builds the wheel and the source archive, and installs them where nothing is but what the project declares."""

import importlib.metadata
import shutil
import subprocess
import sys
import tarfile
from collections.abc import Iterable
from pathlib import Path

from tests.dependencies import ROOT, closure, here, installed, project

PIP = (sys.executable, "-m", "pip", "--isolated", "--disable-pip-version-check")


def copy_of_checkout(folder: Path) -> Path:
    """A copy of what the checkout ships, as a folder to build in, with caches lying about as after a day's work."""
    junk = shutil.ignore_patterns("__pycache__", ".*_cache", ".hypothesis")
    for each in ROOT.iterdir():
        if each.is_dir() and not each.name.startswith("."):
            shutil.copytree(each, folder / each.name, ignore=junk)
        elif each.is_file():
            folder.mkdir(exist_ok=True)
            shutil.copy(each, folder)
    for place in ("benchmate", "benchmate/store", "designs", "tests", "screenshots"):
        for name in ("__pycache__/left.cpython-311.pyc", ".mypy_cache/left.json", ".hypothesis/left"):
            left = folder / place / name
            left.parent.mkdir(exist_ok=True)
            left.write_bytes(b"left over")
    return folder


def build(kind: str, source: Path, into: Path) -> Path:
    """Builds a `wheel` or an `sdist` from a folder as any installer does, by its build backend, without a network."""
    into.mkdir(exist_ok=True)
    program = f"import sys, hatchling.build as backend; print(backend.build_{kind}(sys.argv[1]))"
    done = subprocess.run(
        [sys.executable, "-c", program, into], cwd=source, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return into / done.stdout.split()[-1]


def unpack(archive: Path, folder: Path) -> list[str]:
    """Unpacks the files of a compressed tar archive into a folder; returns their names.

    `extractall` asks for a filter in new Pythons, and old ones have none.
    """
    names = []
    with tarfile.open(archive) as tar:
        for member in tar:
            content = tar.extractfile(member)
            if content is not None:
                file = folder / member.name
                assert folder in file.parents
                assert ".." not in file.parts
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(content.read())
                names.append(member.name)
    return names


class Environment:
    """A new environment that holds the wheel and the declared dependencies to run it, and nothing else."""

    def __init__(self, folder: Path, wheel: Path) -> None:
        """Makes it. What the running environment has of the dependencies is linked in, not fetched again."""
        subprocess.run([sys.executable, "-m", "venv", "--without-pip", folder], check=True)
        self.python = folder / "bin" / "python"
        self.program = folder / "bin" / "benchmate"
        (self.packages,) = folder.glob("lib/python*/site-packages")
        link(closure(project()["run"], here()), self.packages)
        self.pip("install", "--no-index", "--no-deps", str(wheel))

    def pip(self, *arguments: str) -> str:
        """What the installer prints, working on this environment."""
        done = subprocess.run(
            [*PIP, "--python", str(self.python), *arguments],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout


def link(packages: Iterable[str], folder: Path) -> None:
    """Links installed packages, with their metadata, into another environment's folder of packages."""
    owners = owners_of_entries()
    for name in packages:
        distribution = installed()[name]
        for entry in entries(distribution):
            assert owners[entry] == {name}, f"{entry} would bring along {owners[entry]}"
            (folder / entry).symlink_to(Path(str(distribution.locate_file(entry))))


def entries(distribution: importlib.metadata.Distribution) -> set[str]:
    """The folders and files of a distribution that stand directly in the folder of packages."""
    tops = {file.parts[0] for file in distribution.files or ()}
    return {
        top for top in tops if top not in ("..", "__pycache__") and Path(str(distribution.locate_file(top))).exists()
    }


def owners_of_entries() -> dict[str, set[str]]:
    """For everything in the folder of packages, the packages that have files there."""
    found: dict[str, set[str]] = {}
    for name, distribution in installed().items():
        for entry in entries(distribution):
            found.setdefault(entry, set()).add(name)
    return found
