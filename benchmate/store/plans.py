"""The plan of a piece: its whole working order as it is kept, so that it is looked for once."""

import sys
import zlib
from array import array
from typing import NamedTuple

from benchmate.craft.orders import Order, from_sequence

BYTES = 4
"""How many bytes the number of a step takes before the plan is packed."""


class Plan(NamedTuple):
    """An order by segments: whether it is settled that there is none better, and its steps, packed."""

    settled: bool
    steps: bytes


def packed(order: Order) -> Plan:
    """An order as it is kept."""
    numbers = array("I", order.sequence)
    if sys.byteorder == "big":
        numbers.byteswap()
    return Plan(order.settled, zlib.compress(numbers.tobytes(), 1))


def unpacked(plan: Plan, size: int) -> Order | None:
    """The order of all of `size` steps that a plan holds; None when it is spoilt, and has to be made anew."""
    unpacking = zlib.decompressobj()
    try:
        numbers = array("I", unpacking.decompress(plan.steps, size * BYTES + 1))
    except (zlib.error, ValueError):
        return None
    if not unpacking.eof:
        return None
    if sys.byteorder == "big":
        numbers.byteswap()
    if sorted(numbers) != list(range(size)):
        return None
    return from_sequence("segments", numbers, settled=plan.settled)
