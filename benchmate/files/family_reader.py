"""What reads the part of a design's file that belongs to its family."""

from abc import ABC, abstractmethod
from typing import Generic, TypeVar

from benchmate.craft.family import Body
from benchmate.files.fields import Fields
from benchmate.files.strings import Colours

B = TypeVar("B", bound=Body)


class FamilyReader(ABC, Generic[B]):
    """Reads the keys that the designs of one family have beside those every design has."""

    @property
    @abstractmethod
    def keys(self) -> tuple[str, ...]:
        """The family's own keys."""

    @abstractmethod
    def read(self, fields: Fields, colours: Colours | None) -> B | None:
        """The body; reports what is wrong, and answers None when there is too little to check it as a whole."""

    def check(self, fields: Fields, body: B, repeats: int) -> None:
        """Reports what is wrong with a sound body when its rows are worked so often, which they can be."""
        return
