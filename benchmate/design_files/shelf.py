"""The shelf: the shipped designs, their names, and their order from easy to hard."""

import os
from collections.abc import Iterable
from typing import NamedTuple

from benchmate.craft.design import Design
from benchmate.files.safe_text import nearest

ENDING = ".yaml"


def shipped_folder() -> str:
    """The folder of the shipped designs: inside the installed package, or beside the package in a checkout."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    inside = os.path.join(package, "designs")
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(package), "designs")


def shipped() -> list[str]:
    """The paths of the shipped designs, sorted by name."""
    folder = shipped_folder()
    return sorted(os.path.join(folder, name) for name in os.listdir(folder) if name.endswith(ENDING))


def name_of(path: str) -> str:
    """The name of a shipped design: its file name without the ending."""
    return os.path.basename(path).removesuffix(ENDING)


def path_of(given: str) -> str:
    """The path of the design `given`: of a shipped design of that name, unless the working folder has such a file.

    Where there is neither, it is `given` itself.
    """
    if not _may_be_a_name(given):
        return given
    return next((path for path in shipped() if name_of(path) == given), given)


def nearest_name(given: str) -> str | None:
    """The name of the shipped design nearest to `given`; None for a path, an existing file, and when none is near."""
    if not _may_be_a_name(given):
        return None
    name, near = nearest(given.removesuffix(ENDING), map(name_of, shipped()))
    return name if near else None


def _may_be_a_name(given: str) -> bool:
    """True for a name without a folder, when the working folder has no file of that name."""
    if os.path.basename(given) != given:
        return False
    # A broken link counts as a file, so that it is reported.
    return not os.path.lexists(given) or os.path.isdir(given)


class ShelvedDesign(NamedTuple):
    """A design, the path of its file, and its effort, a number to sort by."""

    design: Design
    path: str
    effort: float


def easy_to_hard(designs: Iterable[tuple[Design, str]]) -> list[ShelvedDesign]:
    """Designs and their paths, sorted from easy to hard."""
    shelved = [ShelvedDesign(design, path, design.effort.number) for design, path in designs]
    return sorted(shelved, key=lambda each: each.effort)
