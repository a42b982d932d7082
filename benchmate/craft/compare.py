"""What has changed between two states of a design, in words, and whether work begun on one can go on with the other."""

from collections.abc import Sequence

from benchmate.craft.design import Alpha, Braid, Design, Diagonal, Written
from benchmate.craft.orders import Order
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import Whole


def changes(old: Design, new: Design) -> list[str]:
    """What is different in `new`, a short clause each; empty when the two are worked and shown alike."""
    found: list[str] = []
    if old.title != new.title:
        found.append(f"the title is now {new.title}")
    if old.family != new.family:
        return [*found, f"the family is now {new.family}"]
    found += _colour_changes(old, new)
    if old.strings != new.strings:
        before, after = len(old.strings), len(new.strings)
        found.append(f"{after} strings instead of {before}" if before != after else "the strings hang in other colours")
    if isinstance(old.body, Diagonal) and isinstance(new.body, Diagonal):
        found += _list_changes("row", old.body.rows, new.body.rows)
    if isinstance(old.body, Alpha) and isinstance(new.body, Alpha):
        found += _list_changes("row", old.body.rows, new.body.rows)
        if old.body.first != new.body.first:
            found.append(f"row 1 is worked from the {new.body.first}")
    if isinstance(old.body, Braid) and isinstance(new.body, Braid):
        found += _list_changes("move", old.body.moves, new.body.moves)
        for what in ("slots", "shift"):
            before_number, after_number = getattr(old.body, what), getattr(new.body, what)
            if before_number != after_number:
                found.append(f"{what} {after_number} instead of {before_number}")
        if old.body.strands != new.body.strands and old.strings == new.strings:
            found.append("the strands start from other slots")
    if isinstance(old.body, Written) and isinstance(new.body, Written):
        found += _list_changes("step", old.body.steps, new.body.steps)
    if old.repeats != new.repeats:
        found.append(f"repeats {new.repeats} instead of {old.repeats}")
    for what in ("start", "finish"):
        before_name, after_name = getattr(old, what), getattr(new, what)
        if before_name != after_name:
            found.append(f"the {what} is now {after_name or 'none'}")
    return found


def _colour_changes(old: Design, new: Design) -> list[str]:
    gone = [name for name in old.colours if name not in new.colours]
    fresh = [name for name in new.colours if name not in old.colours]
    other = [name for name, colour in new.colours.items() if name in old.colours and old.colours[name] != colour]
    clauses = [("colour gone: ", gone), ("new colour: ", fresh), ("colour looks or is called different: ", other)]
    return [clause + ", ".join(names) for clause, names in clauses if names]


def _list_changes(called: str, old: Sequence[object], new: Sequence[object]) -> list[str]:
    found: list[str] = []
    differing = [at for at, (one, other) in enumerate(zip(old, new, strict=False), 1) if one != other]
    if differing:
        first, last = differing[0], differing[-1]
        found.append(f"{called} {first} differs" if first == last else f"{called}s from {first} to {last} differ")
    if len(old) != len(new):
        found.append(f"{len(new)} {called}s instead of {len(old)}")
    return found


def can_go_on(old: Whole, new: Whole, order: Order, history: Sequence[int]) -> bool:
    """True when every tied step is the very same step in `new`, so that the piece could go on with it.

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
