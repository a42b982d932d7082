"""A cut list in lines for people."""

from collections import Counter
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from benchmate.craft.thread.cut_list import CutList, Length
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.variegated.start_point import left_between, where_to_begin
from benchmate.craft.wording.counting import listed
from benchmate.craft.wording.gauge_words import basis
from benchmate.craft.wording.length_words import length_words, total_words

if TYPE_CHECKING:
    from benchmate.craft.design import Design


def cut_list_lines(cuts: CutList, design: "Design", units: str) -> list[str]:
    """A line for each length to cut, alike ones together, colour by colour, the longest first.

    `deep, 94 cm, for string 1`; `deep, 1 m 88 cm, folded: strings 1 and 4`.
    """
    colours = list(cuts.colours)
    return [
        f"{design.say(colour)}, {line}"
        for colour in colours
        for line in lengths_lines([each for each in cuts.lengths if each.colour == colour], cuts, design, units)
    ]


def lengths_lines(lengths: Sequence[Length], cuts: CutList, design: "Design", units: str) -> list[str]:
    """The lines of lengths of one colour, without the colour: alike ones together, the longest first."""

    def alike(length: Length) -> tuple[bool, float, int, float]:
        return length.leading is not None, -length.cut_mm, -len(length.strings), cuts.fold_mm(length) or 0.0

    return [_line([*group], cuts, design, units) for _, group in groupby(sorted(lengths, key=alike), alike)]


def _line(group: Sequence[Length], cuts: CutList, design: "Design", units: str) -> str:
    begin = where_to_begin(design.colours[group[0].colour], [length.strings for length in group], units)
    return "; ".join(filter(None, (_cut(group, cuts, design.family.string_word, units), begin)))


def _cut(group: Sequence[Length], cuts: CutList, word: str, units: str) -> str:
    first = group[0]
    times = "" if len(group) == 1 else f"{len(group)} lengths of "
    head = f"{times}{length_words(first.cut_mm, units)}"
    if first.leading is not None:
        return f"{head}, for {numbered('leading string', [length.leading or 0 for length in group])}"
    if len(first.strings) < 2:
        return f"{head}, for {numbered(word, [length.strings[0] for length in group])}"
    fold = cuts.fold_mm(first)
    if fold is None:
        return f"{head}, folded: {word}s {_pairs([tuple(sorted(length.strings)) for length in group])}"
    ends = "; ".join(
        f"the long end is {word} {length.strings[0]}, the short one {word} {length.strings[1]}" for length in group
    )
    return f"{head}, folded {length_words(fold, units)} from one end: {ends}"


def _pairs(pairs: Sequence[tuple[int, ...]]) -> str:
    """`1 and 2, 3 and 4`; `1 and 2, 3 and 4, and so on to 9 and 10`."""
    words = [" and ".join(map(str, pair)) for pair in pairs]
    if len(words) > 3 and [number for pair in pairs for number in pair] == [*range(pairs[0][0], pairs[-1][-1] + 1)]:
        return f"{words[0]}, {words[1]}, and so on to {words[-1]}"
    return ", ".join(words)


def numbered(word: str, numbers: Sequence[int]) -> str:
    """`string 3`, `strings 1 to 3 and 7`."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    # Two in a row are read more quickly one by one.
    parts = [
        part
        for run in runs
        for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run])
    ]
    return f"{word}{'s' if len(numbers) > 1 else ''} {listed(parts)}"


def in_all(cuts: CutList, design: "Design", units: str) -> str:
    """How much of each colour: `Thread in all: 6.2 m (deep 4.1 m, foam 2.1 m)`."""
    parts = [f"{design.say(colour)} {total_words(mm, units)}" for colour, mm in cuts.colours.items()]
    total = total_words(sum(cuts.colours.values()), units)
    return f"Thread in all: {total}" + (f" ({', '.join(parts)})" if len(parts) > 1 else "")


def total_lines(cuts: CutList, design: "Design", units: str) -> list[str]:
    """How much of each colour in all, and how long the band will be."""
    what = "braid" if cuts.estimated else "band"
    return [
        in_all(cuts, design, units),
        *filter(None, (left_between(design.colours[colour], units) for colour in _cut_several_times(cuts))),
        f"The {what} will be about {length_words(cuts.band_mm, units)} long, without start and finish.",
    ]


def how_sure(cuts: CutList, estimate: Estimate) -> list[str]:
    """By which gauge the lengths were worked out, how sure they are, and what to beware of in this thread."""
    if cuts.estimated:
        return ["A rough estimate, from the angle of the strands alone. Cut generously, and measure what is left."]
    return [basis(estimate), *filter(None, [estimate.caution])]


def _cut_several_times(cuts: CutList) -> list[str]:
    """The colours of which several lengths are cut."""
    counts = Counter(length.colour for length in cuts.lengths)
    return [colour for colour in cuts.colours if counts[colour] > 1]
