"""Which wrong knot explains how the strings hang."""

from collections.abc import Collection, Mapping, Sequence

from benchmate.craft.trouble.trouble import MOST_LISTED, Why, WrongKnot
from benchmate.craft.work import ReportProgress
from benchmate.families.diagonal.trouble.why_question import Question
from benchmate.families.diagonal.trouble.why_sight import Sight
from benchmate.families.diagonal.trouble.why_single import singles, singles_question
from benchmate.families.diagonal.work import DiagonalWork


def why(
    work: DiagonalWork,
    tied: Sequence[int],
    seen: Sequence[str],
    shows: Mapping[int, str | None],
    report: ReportProgress | None = None,
    *,
    unasked: Collection[int] = (),
) -> Why:
    """As in `Trouble`."""
    sight = Sight(work, tied, seen, shows)
    skipped = {place for place, step in enumerate(tied) if step in unasked} if unasked else ()
    if sight.as_charted:
        return Why(True, [], 0, None)
    single = singles(sight)
    if single:
        listed = [(WrongKnot(tied[place], made),) for place, made in single[: -MOST_LISTED - 1 : -1]]
        return _answer(tied, listed, len(single), singles_question(sight, single, skipped))
    # Imported inside: mostly a single wrong knot explains what is seen.
    from benchmate.families.diagonal.trouble.why_pairs import Pairs
    from benchmate.families.diagonal.trouble.why_pairs_question import pairs_question

    pairs = Pairs(sight, report)
    of_two = [
        (WrongKnot(tied[pair.first], pair.first_made), WrongKnot(tied[pair.second], pair.second_made))
        for pair in pairs.latest(MOST_LISTED)
    ]
    return _answer(tied, of_two, pairs.total(), pairs_question(sight, pairs, skipped))


def _answer(tied: Sequence[int], listed: Sequence[tuple[WrongKnot, ...]], total: int, question: Question | None) -> Why:
    if question is None:
        return Why(False, listed, total, None)
    return Why(False, listed, total, tied[question.place], question.answers)
