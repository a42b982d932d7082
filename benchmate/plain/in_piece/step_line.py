"""The line of the step to do now."""

from collections.abc import Sequence

from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompts import again
from benchmate.store.open_piece import OpenPiece


def current(held: OpenPiece) -> str | None:
    """The line of the step to do or undo now; None when every step is done."""
    number, comes_out = held.current_step()
    if number is None:
        return None
    line = step_words.line(held.as_known, held.order.place[number] + 1, number, comes_out=comes_out)
    run = None if comes_out or held.way.by != "segments" else held.progress.current_run
    if run is None:
        return line
    following = step_words.next_pick_up(held.whole, run, held.progress.hanging) if run.at == run.of else ""
    return f"{line}; {step_words.in_hand(held.whole, run)}" + (f", then {following}" if following else "")


def for_press(held: OpenPiece, steps: Sequence[int]) -> str | None:
    """The line of all the steps that one press ties, where those are several; else the line of the step."""
    number, comes_out = held.current_step()
    if comes_out:
        return current(held)
    if number is None or len(steps) < 2:
        return current(held)
    words = again(held.whole, held.progress, ahead=steps, most=None)
    word = held.whole.part_of(number).design.family.step_word
    return f"{held.order.place[number] + 1}/{held.whole.size} {len(steps)} {word}s: {words}"
