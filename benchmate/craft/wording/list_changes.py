"""The changes between two versions of a list, in words."""

from collections.abc import Sequence

from benchmate.craft.wording.counting import counted


def list_changes(called: str, old: Sequence[object], new: Sequence[object]) -> list[str]:
    """A short clause each: which items differ, and the new length. `called` names one item, such as `row`."""
    found: list[str] = []
    differing = [at for at, (one, other) in enumerate(zip(old, new, strict=False), 1) if one != other]
    if differing:
        first, last = differing[0], differing[-1]
        found.append(f"{called} {first} differs" if first == last else f"{called}s {first} to {last} differ")
    if len(old) != len(new):
        found.append(f"{counted(len(new), called)} instead of {len(old)}")
    return found
