"""The families there are. Whoever has a design asks its own `family`; whoever has only a name asks here."""

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING

from benchmate.families.registration import Registration

if TYPE_CHECKING:
    from benchmate.craft.family import AnyFamily
    from benchmate.display.zone import Zone

SHIPPED = ("diagonal", "alpha", "braid", "steps")
"""The families that ship: each is a folder here, and its `registration` says all there is to know."""


class Families(Mapping[str, Registration]):
    """Families by their names. One that ships is imported when it is first asked for, so that none pays for another."""

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
        """Adds a family to those that ship."""
        self._known[registration.family.name] = registration
        self._names.append(registration.family.name)

    def remove(self, name: str) -> None:
        """Takes a family that was added out again."""
        self._names.remove(name)
        del self._known[name]


FAMILIES = Families()
"""Every family by its name."""


def zone_of(family: "AnyFamily") -> "Zone | None":
    """What a family shows beside the step."""
    return FAMILIES[family.name].zone()
