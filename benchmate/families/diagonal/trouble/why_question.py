"""The knot to look at next: the one whose colour, once told, leaves the fewest candidates on the average."""

from collections import Counter
from collections.abc import Collection, Iterable
from typing import NamedTuple

Tally = Counter[str | None]
"""How many candidates have a knot in each colour; None for no knot."""


class Question(NamedTuple):
    """The knot to look at, by its place among the tied steps, and the colours it can show, the likeliest first."""

    place: int
    answers: tuple[str | None, ...]


def best_question(tallies: Iterable[tuple[int, Tally]], candidates: int, unasked: Collection[int]) -> Question | None:
    """The best of these knots, which come in the order of work, the latest of equal ones; None where none tells.

    Those at the places in `unasked` are left out.
    With every candidate as likely as the next, the least sum of squares leaves the fewest on the average.
    """
    least, found = candidates**2 - 1, None
    for place, tally in tallies:
        squares = sum(count * count for count in tally.values())
        if squares <= least and place not in unasked:
            least, found = squares, (place, tally)
    if found is None:
        return None
    place, tally = found
    # No knot at all comes last, whatever is likeliest: it is seen at once.
    answers = sorted(
        (colour for colour in tally if tally[colour]),
        key=lambda colour: (colour is None, -tally[colour], colour or ""),
    )
    return Question(place, tuple(answers))
