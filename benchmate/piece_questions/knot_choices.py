"""Choosing a tied knot that is wrong, or the knot that was tied out of turn."""

from collections.abc import Sequence

from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.families.registry import trouble_of
from benchmate.store.open_piece import OpenPiece


def tied_knot(held: OpenPiece, number: int) -> str:
    """Where a tied step is: `row 3, knot 37`."""
    family, step = held.whole.part_of(number).design.family, held.whole.step(number)
    row = f"row {step.row}, " if family.row_word == "row" else ""
    return f"{row}{step_words.numbered(held.whole, number, held.order.place[number] + 1)}"


def tied_knot_in_full(held: OpenPiece, number: int) -> str:
    """The same, and what was tied: `row 3, knot 37, forward, deep over foam`."""
    part, step = held.whole.part_of(number), held.whole.step(number)
    words = (tied_knot(held, number), step_words.name_of(part, step), step_words.crossed(part, step))
    return ", ".join(filter(None, words))


def how_many_out(held: OpenPiece, number: int, ask: str = "") -> str:
    """How many steps to undo to reach a wrong one.

    In another colour than charted a knot may hold more; then it is said for which colour that is, and `ask`, which
    tells how to name another.
    """
    out = held.progress.must_come_out(number)
    part = held.whole.part_of(number)
    kind = part.design.family.step_word if all(held.whole.part_of(other) is part for other in out) else "step"
    undo = "undo only this one." if len(out) == 1 else f"undo {counted(len(out), kind)} to reach it, last first."
    colour = _only_in_colour(held, number, out)
    return f"If it is {colour}, {undo} {ask}".rstrip() if colour else f"U{undo[1:]}"


def _only_in_colour(held: OpenPiece, number: int, out: Sequence[int]) -> str:
    """The charted colour of a knot that may hold more than `out` in another colour; empty for any other."""
    part, history = held.whole.part_of(number), held.progress.history
    step = number - part.first
    if not trouble_of(part.design.family).other_colours(part.work, step):
        return ""
    comes_out = set(out)
    later = history[history.index(number) + 1 :]
    if all(other in comes_out or held.whole.part_of(other) is not part for other in later):
        return ""
    return part.design.say_of(part.work.knotting(step))


def out_of_turn(held: OpenPiece, number: int) -> str:
    """A step that can be done now."""
    part, step = held.whole.part_of(number), held.whole.step(number)
    if part.design.family.step_word != "knot":
        return step_words.spoken(part, step)
    turn = ", next in order" if number == held.progress.next else ""
    return f"row {step.row}, {step_words.name_of(part, step)}, {step_words.crossed(part, step)}{turn}"
