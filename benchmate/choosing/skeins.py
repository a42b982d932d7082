"""How many skeins are enough for lengths to cut: a quick answer, which may be more than the fewest.

`craft.thread.packing` looks for the fewest, which takes seconds in a large design. The preview changes with each press
of an arrow key and cannot wait; it says `up to`, which longest first keeps true.
"""

from collections.abc import Sequence

from benchmate.craft.thread.cut_list import Length


def enough_skeins(lengths: Sequence[Length], skein_mm: float) -> int | None:
    """So many skeins are enough: each length, longest first, is cut from the first skein of its colour that has it.

    None where a length is longer than a skein.
    """
    left: dict[str, list[float]] = {}
    for length in sorted(lengths, key=lambda each: -each.cut_mm):
        if length.cut_mm > skein_mm:
            return None
        skeins = left.setdefault(length.colour, [])
        at = next((at for at, rest in enumerate(skeins) if rest >= length.cut_mm), None)
        if at is None:
            skeins.append(skein_mm - length.cut_mm)
        else:
            skeins[at] -= length.cut_mm
    return sum(map(len, left.values()))
