"""The shelf: the shipped designs, their names, and their order from easy to hard."""

import os
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from benchmate.craft.design import Design
from benchmate.files.safe_text import nearest

ENDING = ".yaml"
LESSON_PREFIX = "lesson-"
"""The file of a lesson is named by this and its number."""


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


class Following(NamedTuple):
    """What follows a lesson: the path of a design, and how many rows of it the lesson has tied already."""

    path: str
    rows: int


BANDS = {
    "lesson-6-first-stripe": Following("first-stripe", 2),
    "lesson-7-first-pointed-band": Following("first-pointed-band", 2),
}
"""The lessons that begin a band, with the name of its design."""


class ShelvedDesign(NamedTuple):
    """A design, the path of its file, and its effort, a number to sort by."""

    design: Design
    path: str
    effort: float


def easy_to_hard(designs: Iterable[tuple[Design, str]]) -> list[ShelvedDesign]:
    """Designs and their paths, sorted from easy to hard."""
    shelved = [ShelvedDesign(design, path, design.effort.number) for design, path in designs]
    return sorted(shelved, key=lambda each: each.effort)


def lessons() -> list[str]:
    """The paths of the shipped lessons, in their order."""
    return [path for path in shipped() if name_of(path).startswith(LESSON_PREFIX)]


def next_lesson(path: str) -> str | None:
    """The path of the lesson after the one at `path`; None after the last lesson, and where `path` is no lesson."""
    found = lessons()
    at = _place(path, found)
    return None if at is None else next(iter(found[at + 1 :]), None)


def following(path: str) -> Following | None:
    """What follows the lesson at `path`: the band it begins, else the next lesson; None where `path` is no lesson."""
    found = lessons()
    at = _place(path, found)
    if at is None:
        return None
    band = BANDS.get(name_of(found[at]))
    if band is not None:
        return Following(os.path.join(shipped_folder(), band.path + ENDING), band.rows)
    lesson = next_lesson(path)
    return None if lesson is None else Following(lesson, 0)


def _place(path: str, found: Sequence[str]) -> int | None:
    real = os.path.realpath(path)
    return next((at for at, each in enumerate(found) if os.path.realpath(each) == real), None)
