"""All families. Code that has a design asks its `family`; code that has only a name looks it up here."""

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING

from benchmate.families.registration import Registration

if TYPE_CHECKING:
    from benchmate.craft.family import AnyFamily
    from benchmate.craft.trouble.trouble import Trouble
    from benchmate.display.zone import Zone

SHIPPED = ("diagonal", "alpha", "braid", "steps")
"""The shipped families. Each is a folder beside this file, and its module `registration` holds a `REGISTRATION`."""


class Families(Mapping[str, Registration]):
    """Families by name. A shipped one is imported when first looked up, so that a design loads only its own."""

    def __init__(self) -> None:
        self._known: dict[str, Registration] = {}
        self._names = list(SHIPPED)

    def __getitem__(self, name: str) -> Registration:
        """The family of that name. Raises KeyError."""
        if name not in self._known:
            if name not in self._names:
                raise KeyError(name)
            found: Registration = import_module(f"benchmate.families.{name}.registration").REGISTRATION
            self._known[name] = found
        return self._known[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)

    def add(self, registration: Registration) -> None:
        """Adds a family to the shipped ones."""
        self._known[registration.family.name] = registration
        self._names.append(registration.family.name)

    def remove(self, name: str) -> None:
        """Removes an added family."""
        self._names.remove(name)
        del self._known[name]


FAMILIES = Families()
"""Every family by its name."""


def zone_of(family: "AnyFamily") -> "Zone | None":
    """What a family shows beside the step."""
    return FAMILIES[family.name].zone()


def trouble_of(family: "AnyFamily") -> "Trouble":
    """What a family can say when something went wrong."""
    return FAMILIES[family.name].trouble()
