"""A length to cut, and what it is for."""

from collections.abc import Sequence
from typing import NamedTuple


class Length(NamedTuple):
    """One length to cut. `strings` are the numbers of its strings: two where it is folded; none for a leading string.

    `leading` is the number of the leading string that it is, None for any other.
    """

    colour: str
    strings: tuple[int, ...]
    cut_mm: float
    leading: int | None = None


class Wanted(NamedTuple):
    """What a length is for: `leading string 2, first used in row 5`; `brief` in fewer words: `leading string 2`.

    `ends` are the strings that its ends become, each in words, where it is folded.
    """

    words: str
    brief: str
    ends: tuple[str, ...] = ()


class Begins(NamedTuple):
    """Where a length of variegated thread begins: `begin where navy begins`; `brief` in fewer words: `from navy`."""

    words: str
    brief: str


def wanted(one: str, numbers: Sequence[int], before: str = "") -> Wanted:
    """`string 1`, `strings 1 and 4`, with words `before` that only the full wording has."""
    many = "s" if len(numbers) > 1 else ""
    brief = f"{one}{many} {' and '.join(map(str, sorted(numbers)))}"
    words = f"the {before}{many} in {brief}" if before else brief
    return Wanted(words, brief, tuple(f"{one} {number}" for number in numbers))
