"""What is different between two states of a list, in words."""

from collections.abc import Sequence

from benchmate.craft.wording.counting import counted


def list_changes(called: str, old: Sequence[object], new: Sequence[object]) -> list[str]:
    """A short clause each: from which item to which they differ, and how many there are now. `called` is one item."""
    found: list[str] = []
    differing = [at for at, (one, other) in enumerate(zip(old, new, strict=False), 1) if one != other]
    if differing:
        first, last = differing[0], differing[-1]
        found.append(f"{called} {first} differs" if first == last else f"{called}s from {first} to {last} differ")
    if len(old) != len(new):
        found.append(f"{counted(len(new), called)} instead of {len(old)}")
    return found
