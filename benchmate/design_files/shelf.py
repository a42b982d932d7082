"""The shelf: the designs that ship, their names, and how they are sorted from easy to hard."""

import os
from collections.abc import Iterable
from typing import NamedTuple

from benchmate.craft.design import Design
from benchmate.files.words import nearest

ENDING = ".yaml"


def shipped_folder() -> str:
    """The folder of the designs that ship: inside the installed package, or beside the package in a checkout."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    inside = os.path.join(package, "designs")
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(package), "designs")


def shipped() -> list[str]:
    """The paths of the designs that ship, by name."""
    folder = shipped_folder()
    return sorted(os.path.join(folder, name) for name in os.listdir(folder) if name.endswith(ENDING))


def name_of(path: str) -> str:
    """The name of a design on the shelf: its file's, without the folder and the ending."""
    return os.path.basename(path).removesuffix(ENDING)


def path_of(given: str) -> str:
    """The path of the design that `given` names.

    It is `given` itself, unless no file has that name in the working folder and a shipped design has.
    """
    if not _may_be_a_name(given):
        return given
    return next((path for path in shipped() if name_of(path) == given), given)


def meant_by(given: str) -> str | None:
    """The name of the shipped design that `given` seems to be meant for.

    None for a path, for a file that is there, and when no name is near.
    """
    if not _may_be_a_name(given):
        return None
    name, near = nearest(given.removesuffix(ENDING), map(name_of, shipped()))
    return name if near else None


def _may_be_a_name(given: str) -> bool:
    """True for a name without a path, of which there is no file in the working folder. A folder is no file."""
    if os.path.basename(given) != given:
        return False
    # A link that leads nowhere is there, and is said to be broken rather than passed over.
    return not os.path.lexists(given) or os.path.isdir(given)


class Shelved(NamedTuple):
    """A design, the path of its file, and how much it asks of the maker: a number to sort by."""

    design: Design
    path: str
    effort: float


def easy_to_hard(found: Iterable[tuple[Design, str]]) -> list[Shelved]:
    """Designs and their paths from easy to hard: first bands and braids by effort, then written steps by effort."""
    from benchmate.craft.effort import effort  # Only for this: opening one design by its name has to be quick.

    shelved = [Shelved(design, path, effort(design).number) for design, path in found]
    return sorted(shelved, key=lambda each: (each.design.family == "steps", each.effort))
