"""What the project declares that it needs, and all that this brings along, read from installed metadata."""

import importlib.metadata
import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
PURPOSES = ("run", "voice", "listen", "test", "build")
"""What a dependency is for, most important first: to run the program, for its extras, to build it."""
SYSTEMS = (
    {"sys_platform": "linux", "platform_system": "Linux", "os_name": "posix"},
    {"sys_platform": "darwin", "platform_system": "Darwin", "os_name": "posix"},
    {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt"},
)
PYTHONS = ("3.11", "3.12", "3.13", "3.14")


@cache
def installed() -> dict[str, importlib.metadata.Distribution]:
    """Every distribution of the running environment by its canonical name."""
    return {canonicalize_name(each.metadata["Name"]): each for each in importlib.metadata.distributions()}


@cache
def project() -> dict[str, tuple[Requirement, ...]]:
    """The declared requirements for each purpose."""
    text = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    extras = text["project"]["optional-dependencies"]
    own = text["project"]["name"]
    given = {"run": text["project"]["dependencies"], **extras, "build": text["build-system"]["requires"]}
    read = {purpose: tuple(map(Requirement, lines)) for purpose, lines in given.items()}
    return {purpose: tuple(each for each in found if each.name != own) for purpose, found in read.items()}


def wanted(requirement: Requirement, extras: Iterable[str], environments: Iterable[dict[str, str]]) -> bool:
    """Whether a requirement counts, with these extras, in any of these environments."""
    marker = requirement.marker
    return marker is None or any(
        marker.evaluate({**environment, "extra": extra}) for environment in environments for extra in ("", *extras)
    )


def here() -> list[dict[str, str]]:
    """The running environment alone, for `closure`."""
    return [{name: str(value) for name, value in default_environment().items()}]


def every_system() -> list[dict[str, str]]:
    """Every system and Python that the program supports, for `closure`."""
    (own,) = here()
    return [
        {**own, **system, "python_version": python, "python_full_version": f"{python}.0"}
        for system in SYSTEMS
        for python in PYTHONS
    ]


def closure(requirements: Iterable[Requirement], environments: list[dict[str, str]]) -> dict[str, set[str]]:
    """All that requirements install, by name, each with those that ask for it; a direct one is asked for by nobody.

    What is not installed here brings nothing along, as its metadata cannot be read.
    """
    found: dict[str, set[str]] = {}
    seen: set[tuple[str, frozenset[str]]] = set()

    def visit(requirement: Requirement, asker: str | None) -> None:
        name = canonicalize_name(requirement.name)
        found.setdefault(name, set()).update({asker} if asker else ())
        key = (name, frozenset(requirement.extras))
        if key in seen:
            return
        seen.add(key)
        distribution = installed().get(name)
        for line in (distribution.requires if distribution else None) or ():
            brought = Requirement(line)
            if wanted(brought, requirement.extras, environments):
                visit(brought, name)

    for each in requirements:
        visit(each, None)
    return found
