"""The colours of the strings and of the knots they make."""

from collections.abc import Mapping, Sequence

from benchmate.families.diagonal.work import DiagonalWork


def colours_of_strings(work: DiagonalWork) -> Mapping[int, str]:
    """The colour names of the strings by their numbers."""
    return dict(enumerate(work.strings, 1))


def shown_by(work: DiagonalWork, sequence: Sequence[int]) -> list[str | None]:
    """The colour of every step of `sequence`; None for one that is left out."""
    colours = colours_of_strings(work)
    found: list[str | None] = []
    for number in sequence:
        made = work.how_made(number)
        left, right = work.takes(number)
        found.append(None if made is None else colours[left if made.from_left else right])
    return found
