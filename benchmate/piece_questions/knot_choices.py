"""Choosing a tied knot that is wrong, or the knot that was tied out of turn."""

from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
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


def how_many_out(held: OpenPiece, number: int) -> str:
    """How many steps to undo to reach a wrong one."""
    out = held.progress.must_come_out(number)
    part = held.whole.part_of(number)
    kind = part.design.family.step_word if all(held.whole.part_of(other) is part for other in out) else "step"
    return "Undo only this one." if len(out) == 1 else f"Undo {counted(len(out), kind)} to reach it, last first."


def out_of_turn(held: OpenPiece, number: int) -> str:
    """A step that can be done now."""
    part, step = held.whole.part_of(number), held.whole.step(number)
    if part.design.family.step_word != "knot":
        return step_words.spoken(part, step)
    turn = ", next in order" if number == held.progress.next else ""
    return f"row {step.row}, {step_words.name_of(part, step)}, {step_words.crossed(part, step)}{turn}"
