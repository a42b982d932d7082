"""The single wrong knots that explain what is seen."""

from collections import Counter
from collections.abc import Collection, Iterator
from typing import NamedTuple

from benchmate.craft.trouble.made_otherwise import Made
from benchmate.families.diagonal.trouble.tied_knot import OTHER_SIDES, OTHER_WAYS, SAME_SIDES
from benchmate.families.diagonal.trouble.why_question import Question, Tally, best_question
from benchmate.families.diagonal.trouble.why_sight import NO_EXCHANGE, Sight


class Single(NamedTuple):
    """A wrong knot by its place among the tied steps, with every way it can have been made."""

    place: int
    made: tuple[Made, ...]


def singles(sight: Sight) -> list[Single]:
    """Every single wrong knot that explains what is seen, in the order of work."""
    needed = sight.explained_by()
    if needed is None:
        return []
    found = []
    for place in range(sight.settled, min(sight.first_unlike + 1, len(sight.knots))):
        way, left, right = sight.knots[place]
        if sight.exchange(left, right) != needed:
            ways = SAME_SIDES[way] if needed == NO_EXCHANGE else ()
        else:
            ways = OTHER_WAYS[way] if needed == NO_EXCHANGE else OTHER_SIDES[way]
        made = sight.possible(place, ways, NO_EXCHANGE) if ways else ()
        if made:
            found.append(Single(place, made))
    return found


def singles_question(sight: Sight, found: list[Single], unasked: Collection[int]) -> Question | None:
    """The knot to look at next, none at the places in `unasked`; None where no colour tells any apart."""
    return best_question(_tallies(sight, found), sum(len(each.made) for each in found), unasked)


def _tallies(sight: Sight, found: list[Single]) -> Iterator[tuple[int, Tally]]:
    """For every knot that may show it, how many candidates have it in each colour."""
    candidates = {each.place: each.made for each in found}
    later, earlier = sum(map(len, candidates.values())), 0
    for place in range(found[0].place if found else 0, len(sight.knots)):
        here = candidates.get(place, ())
        before, after = sight.shown(place, NO_EXCHANGE), sight.shown_at_end(place)
        if not here and before == after:
            continue
        later -= len(here)
        tally: Tally = Counter(sight.shown_made(place, way, NO_EXCHANGE) for way in here)
        tally[before] += later
        tally[after] += earlier
        yield place, tally
        earlier += len(here)
