"""The kinds of thread that the program knows from the beginning, and gauges for threads of another thickness."""

import math
from collections.abc import Mapping
from typing import NamedTuple

from benchmate.craft.thread.gauge import FLOSS, THICKNESS, Gauge

_SCALED = ("made_mm", "carried_mm", "stayed_mm", "waited_mm", "row_mm", "base_mm", "wide_mm")

MM_OF_A_TEX = 0.0373
"""A cotton yarn of 1 tex is this thick, mm; the thickness grows with the square root of the tex (Peirce)."""
THINNEST, THICKEST = 0.05, 20.0
"""The range of the thickness of a thread, mm: from sewing thread to thick rope."""
SLIPPERY = (
    "Knots slip in this thread: pull each half tight before the next, leave the ends long, and secure the last knots."
)
"""What to beware of with a slippery thread."""
LONGER_END = 90.0
"""How much longer the ends of a slippery thread are left, mm: as long again as a usual end (common practice)."""


class Kind(NamedTuple):
    """A kind of thread: its name as a gauge, what it is, its thickness in mm, and what to beware of, if anything."""

    name: str
    says: str
    thickness_mm: float
    caution: str = ""

    @property
    def gauge(self) -> Gauge:
        """Its gauge: that of floss, scaled with the thickness, with longer ends where knots slip."""
        gauge = scaled(self.name, self.thickness_mm)
        return with_longer_ends(gauge) if self.caution else gauge


def scaled(name: str, thickness_mm: float) -> Gauge:
    """The gauge of floss for a thread of another thickness, mm. Start, finish, hold and tail stay as they are.

    Its numbers are whole micrometres, as documents show them.
    """
    share = thickness_mm / THICKNESS
    return FLOSS._replace(name=name, **{field: round(getattr(FLOSS, field) * share, 3) for field in _SCALED})


def with_longer_ends(gauge: Gauge) -> Gauge:
    """The gauge for a thread in which knots slip: finish and cut ends take more of it."""
    return gauge._replace(finish_mm=gauge.finish_mm + LONGER_END, tail_mm=gauge.tail_mm + LONGER_END)


def thickness_of_tex(tex: float) -> float:
    """The thickness of a thread of a linear density, mm. It holds for spun cotton; others are thicker for their weight.

    Pulled tight, that is: it makes 0.56 mm of a thread that lies 0.72 mm wide in the hand.
    """
    return MM_OF_A_TEX * math.sqrt(tex)


_COTTON = round(thickness_of_tex(225), 2)

KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        # Derived: see the values of floss.
        Kind("floss", "six-strand embroidery floss", THICKNESS),
        # Derived from 225 tex, which is from memory.
        Kind("twisted-cotton", "twisted cotton that is not divided into strands", _COTTON),
        # From memory: about 20 turns side by side in an inch, pressed together.
        Kind("wool", "fine knitting wool", 1.3),
        # Common practice: as thick as three or four strands of floss.
        Kind("metallic", "metallic thread", 0.5, SLIPPERY),
        # Common practice: floss with a glittering filament in it.
        Kind("glitter", "floss with a glittering filament", 0.8, SLIPPERY),
        # It is floss; only its colour changes.
        Kind("variegated", "floss whose colour changes along its length", THICKNESS),
    )
}
"""Every kind by its name; the first is the usual one."""
