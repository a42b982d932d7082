"""The changes between two versions of a design, in words, and whether a piece can continue on the new one."""

from collections.abc import Sequence

from benchmate.craft.design import Design
from benchmate.craft.orders import Order
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording.counting import counted


def changes(old: Design, new: Design) -> list[str]:
    """A short clause for each change; empty when both are worked and shown the same way."""
    found: list[str] = []
    if old.title != new.title:
        found.append(f"the title is now {new.title}")
    if old.family is not new.family:
        return [*found, f"the family is now {new.family.name}"]
    found += _colour_changes(old, new)
    if old.strings != new.strings:
        before, after = len(old.strings), len(new.strings)
        found.append(f"{after} strings instead of {before}" if before != after else "the string colours differ")
    found += new.family.changes(old.body, new.body)
    if old.repeats != new.repeats:
        found.append(f"{counted(new.repeats, 'repeat')} instead of {old.repeats}")
    for what in ("start", "finish"):
        before_name, after_name = getattr(old, what), getattr(new, what)
        if before_name != after_name:
            found.append(f"the {what} is now {after_name}" if after_name else f"the {what} is removed")
    return found


def _colour_changes(old: Design, new: Design) -> list[str]:
    gone = [name for name in old.colours if name not in new.colours]
    fresh = [name for name in new.colours if name not in old.colours]
    other = [name for name, colour in new.colours.items() if name in old.colours and old.colours[name] != colour]
    clauses = [("colour removed: ", gone), ("new colour: ", fresh), ("colour changed: ", other)]
    return [clause + ", ".join(names) for clause, names in clauses if names]


def can_continue(old: WholePiece, new: WholePiece, order: Order, history: Sequence[int]) -> bool:
    """True when every tied step is the same step in `new`, so the piece can continue on it.

    `order` is a working order of `new`; `history` the tied steps in the order they were tied.
    """
    if old.strings != new.strings or old.at_start() != new.at_start() or len(old.parts) != len(new.parts):
        return False
    if any(number >= new.size or old.step(number) != new.step(number) for number in history):
        return False
    try:
        Progress.resume(new, order, history)
    except NotPossible:
        return False
    return True
