"""What every strand of a braid does, and a weak estimate of how long it must be.

No published take-up for such braids was found. The estimate is geometry alone. A braid is a round cord in which the
strands wind about the axis like helices, as many one way as the other:

- Strands fill at most 0.907 (π / 2√3) of its cross-section, which they cross slantwise: n strands of thickness d at an
  angle A have the area n · (π d² / 4) / cos A. That gives the radius of the cord, and half a thickness less is the
  radius r of the way of a strand.
- A strand that is moved φ about the disk winds φ about the axis, a way of r · φ round the cord.
- An even pull draws the strands to about A = 45°, halfway between a cord of straight strands and one of rings. So the
  cord grows by the mean of those ways, and a strand is as long as a helix: √(length² + (r · φ)²).

The thickness is that of floss in proportion to the width of a knot.
"""

from collections import Counter
from math import cos, hypot, pi, radians, sqrt, tan

from benchmate.craft.thread.counts import BandUse, Counts, StringUse
from benchmate.craft.thread.gauge import FLOSS, THICKNESS, Gauge
from benchmate.families.braid.body import Braid, at_start, tried_moves

_ANGLE = radians(45)
_FILLED = pi / (2 * sqrt(3))


def thread_use(body: Braid, repeats: int, gauge: Gauge) -> BandUse:
    """The moves of every strand through all repeats. What the strands need, and the length, grow with the repeats."""
    moves = Counter(move.strand for move in tried_moves(body, repeats))
    radius = _radius(len(body.strands), THICKNESS * gauge.wide_mm / FLOSS.wide_mm)
    turns = _turns(body)
    grows = radius * sum(turns.values()) / len(turns) / tan(_ANGLE)
    strings = tuple(
        StringUse(
            slot,
            colour,
            Counts(),
            slot,
            moves[slot],
            repeats * hypot(grows, radius * turns[slot]),
        )
        for slot, colour in body.strands
    )
    return BandUse(strings, repeats, repeats * grows, estimated=True)


def _radius(strands: int, thickness: float) -> float:
    """The radius of the way of a strand about the axis."""
    outside = thickness * sqrt(strands / (4 * _FILLED * cos(_ANGLE)))
    # So few strands that none has room at the axis touch one another there.
    return max(outside - thickness / 2, thickness / 2)


def _turns(body: Braid) -> dict[int, float]:
    """How far each strand turns about the axis in a repeat, on the average over many, in radians."""
    lies = at_start(body)
    turned = dict.fromkeys((slot for slot, _ in body.strands), 0.0)
    for move in tried_moves(body, 1):
        onwards = (move.target - move.source) % body.slots
        turned[move.strand] += 2 * pi * min(onwards, body.slots - onwards) / body.slots
        lies[move.source - 1], lies[move.target - 1] = 0, move.strand
    # The next repeat is the same one, with each strand in the place of another.
    takes_over = {strand: (at - body.shift) % body.slots + 1 for at, strand in enumerate(lies) if strand}
    if set(takes_over.values()) != turned.keys():
        return dict.fromkeys(turned, sum(turned.values()) / len(turned))
    found: dict[int, float] = {}
    for first in turned:
        round_of = [first] if first not in found else []
        while round_of and takes_over[round_of[-1]] != first:
            round_of.append(takes_over[round_of[-1]])
        found |= dict.fromkeys(round_of, sum(map(turned.__getitem__, round_of)) / max(1, len(round_of)))
    return found
