"""The changes between two versions of a design, in words."""

from benchmate.craft.design import Design
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
    if old.thread != new.thread:
        found.append(f"the thread is now {new.thread}")
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
