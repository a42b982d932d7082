"""The lengths that a band takes from a start whose strings are folded."""

from collections import Counter
from collections.abc import Callable, Sequence

from benchmate.craft.wording.counting import counted


def folded_lengths(strings: Sequence[str], say: Callable[[str], str]) -> str:
    """`Fold 3 lengths of deep and 1 of foam; cut 1 single length of foam, knot it in`.

    Two strings of one colour are one length, folded; an odd one is a single length. `say` gives a colour's label.
    """
    counts = Counter(strings)
    parts = []
    if folded := [(count // 2, say(name)) for name, count in counts.items() if count > 1]:
        (number, colour), *others = folded
        first = f"{counted(number, 'length')} of {colour}"
        parts.append(f"fold {_listed([first, *(f'{number} of {colour}' for number, colour in others)])}")
    if single := [say(name) for name, count in counts.items() if count % 2]:
        first, *rest = single
        lengths = _listed([f"1 single length of {first}", *(f"1 of {colour}" for colour in rest)])
        parts.append(f"cut {lengths}, knot {'them' if rest else 'it'} in")
    words = "; ".join(parts)
    return words[0].upper() + words[1:]


def _listed(items: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    *before, last = items
    return f"{', '.join(before)} and {last}" if before else last
