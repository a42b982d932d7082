"""The plan of a piece: its whole working order as saved, so that the search runs only once."""

import sys
import zlib
from array import array

from benchmate.craft.orders import Order, can_be_followed, from_sequence
from benchmate.craft.work import Work

BYTES = 4
"""Bytes of a step number before the plan is packed."""


def packed(order: Order) -> bytes:
    """The steps of an order, packed for the database."""
    numbers = array("I", order.sequence)
    if sys.byteorder == "big":
        numbers.byteswap()
    return zlib.compress(numbers.tobytes(), 1)


def unpacked(plan: bytes, work: Work) -> Order | None:
    """The saved order by segments; None when it does not fit these steps and must be planned again."""

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
