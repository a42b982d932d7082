"""The lengths that a band takes from a start whose strings are folded."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.wording.counting import counted, listed


class HowLong(NamedTuple):
    """How long the lengths of a colour are, those to fold and the single one, each empty where there is none."""

    folded: str
    single: str


def how_long(lengths: Sequence[Length], words: Callable[[float], str]) -> dict[str, HowLong]:
    """How long the lengths of every colour are; `words` says a length in mm."""
    found: dict[str, HowLong] = {}
    for colour in dict.fromkeys(length.colour for length in lengths):
        folded, single = (
            [length.cut_mm for length in lengths if length.colour == colour and (len(length.strings) > 1) == is_folded]
            for is_folded in (True, False)
        )
        found[colour] = HowLong(_range(folded, words), _range(single, words))
    return found


def _range(lengths: Sequence[float], words: Callable[[float], str]) -> str:
    """`94 cm`, `94 cm each`, `90 cm to 94 cm`; empty for none."""
    if not lengths:
        return ""
    shortest, longest = words(min(lengths)), words(max(lengths))
    if shortest != longest:
        return f"{shortest} to {longest}"
    return f"{longest} each" if len(lengths) > 1 else longest


def folded_lengths(
    strings: Sequence[str],
    say: Callable[[str], str],
    long: Mapping[str, HowLong] | None = None,
    *,
    aloud: bool = False,
) -> str:
    """`Fold 3 lengths of deep (94 cm each) and 1 of foam (90 cm); cut 1 single length of foam (45 cm), knot it in`.

    Two strings of one colour are one length, folded; an odd one is a single length. `say` gives a colour's label, and
    `long` says how long those of a colour are, where that is known; `aloud` between pauses.
    """
    counts = Counter(strings)
    long = long or {}

    def of(name: str, *, is_folded: bool) -> str:
        found = long.get(name, HowLong("", ""))
        words = found.folded if is_folded else found.single
        return f"of {say(name)}{f', {words}' if aloud else f' ({words})'}" if words else f"of {say(name)}"

    parts = []
    if folded := [(count // 2, of(name, is_folded=True)) for name, count in counts.items() if count > 1]:
        (number, colour), *others = folded
        first = f"{counted(number, 'length')} {colour}"
        parts.append(f"fold {listed([first, *(f'{number} {colour}' for number, colour in others)])}")
    if single := [of(name, is_folded=False) for name, count in counts.items() if count % 2]:
        first, *rest = single
        lengths = listed([f"1 single length {first}", *(f"1 {colour}" for colour in rest)])
        parts.append(f"cut {lengths}, knot {'them' if rest else 'it'} in")
    words = "; ".join(parts)
    return words[0].upper() + words[1:]
