"""Knots made otherwise that are known: what they are, what is planned because of them, and what takes that back."""

from collections.abc import Collection, Sequence

from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompts import NOTHING_BESIDE, Beside
from benchmate.craft.wording.trouble_words import made_words
from benchmate.families.registry import trouble_of
from benchmate.piece_questions.trouble.knot_places import place_of
from benchmate.store.open_piece import OpenPiece


def known(held: OpenPiece) -> Sequence[int]:
    """The tied steps that are not as they should be, the last one first."""
    return sorted({*held.mistakes, *held.altered.not_done}, key=held.order.place.__getitem__, reverse=True)


def left_wrong(held: OpenPiece, number: int) -> str:
    """What is known of a tied knot made otherwise: `Left wrong: backward, should be forward.`; empty for any other."""
    if number not in held.altered.steps:
        return ""
    made, planned = made_words(held.whole.how_made(number)), number in held.altered.changes
    if number in known(held):
        return f"Left wrong: {made}, should be {made_words(due(held, number))}{', as planned' if planned else ''}."
    return f"Changed on purpose: {made}, in the chart {made_words(held.charted.how_made(number))}."


def left_at_the_end(held: OpenPiece, shown_by: str) -> str:
    """How many knots of a finished piece stay wrong, and what shows them: `1 knot left wrong: u, k.`; or empty."""
    count = len(known(held))
    return f"{counted(count, 'knot')} left wrong: {shown_by}." if count else ""


def once_out(held: OpenPiece, asks: str) -> Beside:
    """What `asks` again where the wrong knots are out and were not the ones: `If the strings hang wrong now: u, s.`

    That shows best now, before they are tied again. Nothing where nothing can be asked.
    """
    main = held.whole.main
    asked = trouble_of(main.design.family).knows_ways and held.progress.done > main.first
    return Beside(then=f"If the strings hang wrong now: {asks}.") if asked else NOTHING_BESIDE


def due(held: OpenPiece, number: int) -> Made:
    """How a knot should have been made."""
    return held.altered.changes[number] if number in held.altered.changes else held.charted.how_made(number)


def take_back(held: OpenPiece, number: int) -> None:
    """The knot is as charted after all; the changes that were planned because of it are dropped with it."""
    held.take_back(number)


def taken_back_words(held: OpenPiece, number: int) -> str:
    """What to say of `take_back`, before it is done."""
    says = ["As charted again."]
    if dropped := planned_for(held, number):
        says.append(f"Its planned change is dropped: {'; '.join(changes_in_words(held, dropped))}.")
    if done := held.altered.done_for(number, held.progress.is_tied):
        places = "; ".join(place_of(held, step) for step in sorted(done, key=held.order.place.__getitem__))
        says.append(f"Changed already because of it, and wrong now: {places}.")
    return " ".join(says)


def planned_for(held: OpenPiece, number: int) -> MadeOtherwise:
    """The changes still to come that were planned because of a knot."""
    return {step: how for step, how in held.changes.items() if held.altered.may_serve(step, number)}


def dropped_words(held: OpenPiece) -> str:
    """What to say of dropping the planned change, before it is done."""
    return f"No longer planned: {'; '.join(changes_in_words(held, held.changes))}. As in the chart again."


def planned_words(held: OpenPiece) -> str:
    """The changes still to come: `To change: row 26, third from the left: backward instead of forward.`; or empty."""
    if not held.changes:
        return ""
    return f"To change: {'; '.join(changes_in_words(held, held.changes))}."


def changes_in_words(held: OpenPiece, changes: MadeOtherwise) -> list[str]:
    """Knots that are to be made otherwise than charted, in the order they come."""
    steps = sorted(changes, key=held.order.place.__getitem__)
    return [
        f"{place_of(held, step)}: {made_words(changes[step])} instead of {made_words(held.charted.how_made(step))}"
        for step in steps
    ]


def dropped_with(held: OpenPiece, undone: Collection[int]) -> str:
    """Which changes are no longer planned once these steps are untied, in a sentence; empty where none is dropped."""
    serves, gone = held.altered.may_serve, [step for step in known(held) if step in undone]
    dropped = {step: how for step, how in held.changes.items() if any(serves(step, wrong) for wrong in gone)}
    return f"No longer planned: {'; '.join(changes_in_words(held, dropped))}." if dropped else ""


def forgotten_words(held: OpenPiece, undone: Collection[int]) -> str:
    """What is no longer known of mistakes once these steps count as not tied; empty where nothing was."""
    gone = [place_of(held, step) for step in known(held) if step in undone]
    if not gone:
        return ""
    says = f"No longer known as wrong: {'; '.join(gone)}."
    return f"{says} {dropped_with(held, undone)}".rstrip()
