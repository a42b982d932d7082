"""Laying out an alpha band: its base strings from left to right, then the leading string of the first knot."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike
from benchmate.craft.laying_out import LayingOut, LayingStep, hung_side_by_side
from benchmate.craft.thread.length_to_cut import Length, Wanted, wanted
from benchmate.families.alpha.body import Alpha
from benchmate.families.alpha.work import AlphaWork


def laying_out(design: DesignLike, body: Alpha, *, started: bool) -> LayingOut:
    """The base strings in one step, as they have one colour; the first leading string last."""
    base = hung_side_by_side(body.strings, design.say_of, started=started, called="base string")
    from_left = body.first == "left"
    colour = body.rows[0][0 if from_left else -1]
    # Leading strings are numbered after the base strings, in the order of first use.
    leading = body.columns + 1
    column = 1 if from_left else body.columns
    word = f"{design.say_of(leading)} at the {body.first}"
    note = f"the first leading string; it makes its first knot over base string {column}"
    return base._replace(steps=(*base.steps, LayingStep(colour, (leading,), (), word, note, f"{word}, {note}")))


def lengths_wanted(work: AlphaWork, lengths: Sequence[Length]) -> list[Wanted]:
    """A leading string is used in a row first, from which a maker knows when to have it at hand."""
    firsts: dict[int, int] = {}
    if any(length.leading for length in lengths):
        for stretch in work.plan.stretches:
            firsts.setdefault(stretch.leading, work.row_of(stretch.first))
    return [_wanted(length, firsts) for length in lengths]


def _wanted(length: Length, firsts: dict[int, int]) -> Wanted:
    if length.leading is None:
        return wanted("base string", length.strings)
    words = f"leading string {length.leading}"
    return Wanted(f"{words}, first used in row {firsts[length.leading]}", words)
