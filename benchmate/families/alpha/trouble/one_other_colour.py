"""The places in a picture where one of the last knots has another colour than charted, and all others fit.

All places are compared at once: in a number used as a set of bits, bit N stands for the place after N knots. So every
knot told costs a few shifts of such a number, however many knots are told and however alike the rows are; and only the
places that are listed are looked at one by one.
"""

from collections.abc import Iterator, Mapping, Sequence
from heapq import merge
from itertools import islice

from benchmate.craft.trouble.last_knots import MOST_TOLD, LastKnots
from benchmate.craft.trouble.trouble import PLACES_LISTED, Place, Places
from benchmate.craft.trouble.wrong_step import OtherColour, WrongStep


def places_with_one_other_colour(
    shown: Sequence[str], sequence: Sequence[int], knots: Sequence[str | None], near: int
) -> Places:
    """The places, those nearest to `near` first. `shown` are the colours of `sequence`, `knots` as in `Trouble`."""
    told = [(back, colour) for back, colour in enumerate(reversed(knots), 1) if colour is not None]
    charted = {colour: _bits(shown, colour) for colour in {*shown, *(colour for _, colour in told)}}
    every = (1 << len(shown) + 1) - 1
    once = twice = 0
    for back, colour in told:
        differs = ~charted[colour] << back & every
        twice |= once & differs
        once |= differs
    fitting = once & ~twice & (every >> len(knots) << len(knots))
    last, places = LastKnots(shown), []
    for done in islice(_nearest(fitting, near), PLACES_LISTED):
        back, colour = next((back, colour) for back, colour in told if shown[done - back] != colour)
        end = [*last.before(done)]
        if back <= len(end):
            end[-back] = colour
        places.append(Place(done, WrongStep(sequence[done - back], (OtherColour(colour),)), end))
    return Places(places, _to_tell(fitting, charted, {back for back, _ in told}), fitting.bit_count())


def _to_tell(fitting: int, charted: Mapping[str, int], told: set[int]) -> int | None:
    """As `last_knots.to_tell`: how far back is the first knot that is not told and not the same at all places."""
    for back in range(1, MOST_TOLD + 1):
        without = fitting & (1 << back) - 1
        if back not in told and bool(without) + sum(bool(fitting & bits << back) for bits in charted.values()) > 1:
            return back
    return None


def _bits(shown: Sequence[str], colour: str) -> int:
    """The number with bit N set where knot N shows the colour."""
    return int("0" + "".join("1" if name == colour else "0" for name in reversed(shown)), 2)


def _nearest(bits: int, near: int) -> Iterator[int]:
    """The numbers of the bits that are set, those nearest to `near` first; of two as near, the lower one."""
    text = bin(bits)[:1:-1]
    return merge(_downwards(text, near), _upwards(text, near), key=lambda number: (abs(number - near), number))


def _upwards(text: str, at: int) -> Iterator[int]:
    """The places of each 1 in the text, from a place on."""
    while (at := text.find("1", at)) >= 0:
        yield at
        at += 1


def _downwards(text: str, end: int) -> Iterator[int]:
    """The places of each 1 in the text before a place, the last first."""
    while (end := text.rfind("1", 0, end)) >= 0:
        yield end
