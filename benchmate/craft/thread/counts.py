"""What each string of a band does, in numbers, from which its thread follows."""

from typing import NamedTuple


class Counts(NamedTuple):
    """Knots a string makes; knots in which it is carried and changes places, or stays; rows in which it waits."""

    made: int = 0
    carried: int = 0
    stayed: int = 0
    waited: int = 0


class StringUse(NamedTuple):
    """What one string of a band does. `string` is its number as the family numbers its strings.

    `slot` and `moves` are those of a strand of a braid, None for every other string. `needs_mm` is the thread it needs
    where that does not follow from its counts, as in a base string of a picture and a strand of a braid.
    """

    string: int
    colour: str
    counts: Counts
    slot: int | None = None
    moves: int | None = None
    needs_mm: float | None = None


class LeadingUse(NamedTuple):
    """What one leading string of a picture does: its knots, and the thread in its floats, mm."""

    leading: int
    colour: str
    knots: int
    floats_mm: float


class BandUse(NamedTuple):
    """What all strings of a band do, by number; the leading strings of a picture are apart.

    `rows` counts through all repeats. `band_mm` is the length of the band by a gauge.
    """

    strings: tuple[StringUse, ...]
    rows: int
    band_mm: float
    leading: tuple[LeadingUse, ...] = ()
    estimated: bool = False
