"""What the thread of a cutting costs, in the maker's money."""

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.cutting import Cutting
from benchmate.craft.thread.fitting.fit import exact

CENT = Decimal("0.01")


class Costs(NamedTuple):
    """What the skeins to buy cost, and what all that is cut is worth as a part of its skeins.

    `unpriced` are the colours without a price; they are in neither sum.
    """

    to_buy: Decimal
    worth: Decimal
    unpriced: tuple[str, ...]


def costs(found: Cutting, lengths: Sequence[Length], prices: Mapping[str, Decimal], skein_mm: float) -> Costs:
    """The costs of a cutting by what a skein of each colour costs, to two decimals."""
    to_buy = worth = Decimal(0)
    for source in found.sources:
        if source.source.kind == "skein" and source.source.thread is None:
            to_buy += prices.get(source.colour, Decimal(0))
    for length in lengths:
        worth += prices.get(length.colour, Decimal(0)) * exact(length.cut_mm) / exact(skein_mm)
    unpriced = tuple(dict.fromkeys(length.colour for length in lengths if length.colour not in prices))
    return Costs(_money(to_buy), _money(worth), unpriced)


def _money(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
