"""The knot to look at next, where pairs of wrong knots explain what is seen.

All pairs leave the strings as they are seen, so after both of its knots every pair has the same colours. Before both
they are those of the chart. Only between its two knots does a pair have colours of its own, and these depend on what
the first one exchanged. So candidates are counted by exchange, never one by one.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator
from itertools import accumulate
from typing import NamedTuple

from benchmate.craft.trouble.made_otherwise import Made
from benchmate.families.diagonal.trouble.why_pairs import Match, Pairs
from benchmate.families.diagonal.trouble.why_question import Question, Tally, best_question
from benchmate.families.diagonal.trouble.why_sight import NO_EXCHANGE, Exchange, Sight


def pairs_question(sight: Sight, found: Pairs, unasked: Collection[int]) -> Question | None:
    """The knot to look at next, none at the places in `unasked`; None where no colour tells any apart."""
    return best_question(_tallies(sight, found), found.candidates, unasked)


def _tallies(sight: Sight, found: Pairs) -> Iterator[tuple[int, Tally]]:
    """For every knot that may tell candidates apart, how many of them have it in each colour."""
    as_first, as_second = _as_first(found), _as_second(found)
    exchanges_of = _exchanges_of(found)
    between: Counter[Exchange] = Counter()
    ended, candidates = 0, found.candidates
    for place in range(min(as_first, default=len(sight.knots)), len(sight.knots)):
        firsts_here, seconds_here = as_first.get(place, ()), as_second.get(place, ())
        before, after = sight.shown(place, NO_EXCHANGE), sight.shown_at_end(place)
        exchanges = exchanges_of.get(sight.knotting[place], ())
        if before == after and not (firsts_here or seconds_here or exchanges):
            continue
        tally: Tally = Counter()
        for first in firsts_here:
            for way in first.made:
                tally[sight.shown_made(place, way, NO_EXCHANGE)] += first.seconds
        for match in seconds_here:
            firsts = found.ways_before(match)
            between[match.exchange] -= firsts * len(match.made)
            for way in match.made:
                tally[sight.shown_made(place, way, match.exchange)] += firsts
        here, exchanged = sum(tally.values()), 0
        for exchange in exchanges:
            tally[sight.shown(place, exchange)] += between[exchange]
            exchanged += between[exchange]
        tally[after] += ended
        tally[before] += candidates - here - exchanged - ended
        yield place, tally
        for first in firsts_here:
            between[first.exchange] += first.seconds * len(first.made)
        ended += sum(found.ways_before(match) * len(match.made) for match in seconds_here)


class _First(NamedTuple):
    """A first wrong knot, and how many ways there are to make the second ones that fit it."""

    exchange: Exchange
    made: tuple[Made, ...]
    seconds: int


def _as_first(found: Pairs) -> dict[int, list[_First]]:
    """The first wrong knots by their places."""
    changes = {exchange: [0] * (len(firsts.places) + 1) for exchange, firsts in found.firsts.items()}
    for match in found.matches:
        changes[match.exchange][match.begin] += len(match.made)
        changes[match.exchange][match.end] -= len(match.made)
    by_place: dict[int, list[_First]] = defaultdict(list)
    for exchange, firsts in found.firsts.items():
        for place, made, seconds in zip(firsts.places, firsts.ways, accumulate(changes[exchange]), strict=False):
            if seconds:
                by_place[place].append(_First(exchange, made, seconds))
    return by_place


def _as_second(found: Pairs) -> dict[int, list[Match]]:
    """What fits by the places of the second wrong knots."""
    by_place: dict[int, list[Match]] = defaultdict(list)
    for match in found.matches:
        by_place[match.second].append(match)
    return by_place


def _exchanges_of(found: Pairs) -> dict[int, list[Exchange]]:
    """The exchanges that each string is part of."""
    by_string: dict[int, list[Exchange]] = defaultdict(list)
    for exchange in found.firsts:
        for string in exchange if exchange != NO_EXCHANGE else ():
            by_string[string].append(exchange)
    return by_string
