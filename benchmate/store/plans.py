"""The plan of a piece: its whole working order as it is kept, so that it is looked for once."""

import sys
import zlib
from array import array

from benchmate.craft.orders import Order, can_be_followed, from_sequence
from benchmate.craft.work import Work

BYTES = 4
"""How many bytes the number of a step takes before the plan is packed."""


def packed(order: Order) -> bytes:
    """The steps of an order as they are kept."""
    numbers = array("I", order.sequence)
    if sys.byteorder == "big":
        numbers.byteswap()
    return zlib.compress(numbers.tobytes(), 1)


def unpacked(plan: bytes, work: Work) -> Order | None:
    """The order by segments that was kept; None when it is none of these steps, and has to be made anew."""
    unpacking = zlib.decompressobj()
    try:
        numbers = array("I", unpacking.decompress(plan, work.size * BYTES + 1))
    except (zlib.error, ValueError):
        return None
    if not unpacking.eof:
        return None
    if sys.byteorder == "big":
        numbers.byteswap()
    return from_sequence("segments", numbers) if can_be_followed(work, numbers) else None
