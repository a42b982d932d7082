"""The interface for reading a family's part of a design file."""

from abc import ABC, abstractmethod
from typing import Generic, TypeVar

from benchmate.craft.family import Body
from benchmate.files.fields import Fields
from benchmate.files.strings import Colours

B = TypeVar("B", bound=Body)


class FamilyReader(ABC, Generic[B]):
    """Reads the keys that only designs of one family have."""

    @property
    @abstractmethod
    def keys(self) -> tuple[str, ...]:
        """The family's own keys."""

    @abstractmethod
    def read(self, fields: Fields, colours: Colours | None) -> B | None:
        """Reads the body and reports errors; returns None when too little is good to check it as a whole."""

    def check(self, fields: Fields, body: B, repeats: int) -> None:
        """Reports problems of a good body worked `repeats` times."""
        return
