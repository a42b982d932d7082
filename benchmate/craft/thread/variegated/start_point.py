"""Where a length of variegated thread begins, in words, and which half of a folded one runs which way.

Every string begins where the first colour of its sequence begins. A folded length begins there for both its strings, so
that is where it is folded: one string runs through the sequence from its beginning, the other from its end. Of the two
strings of a length, the first one named is the one that runs from the beginning.
"""

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING

from benchmate.craft.colours.colour import Colour
from benchmate.craft.laying_out import LayingOut, LayingStep
from benchmate.craft.thread.cut_list import NothingToCut, cut_list, ends_mm
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.length_to_cut import Begins, Length
from benchmate.craft.thread.variegated.along import Beginnings
from benchmate.craft.wording.counting import listed
from benchmate.craft.wording.length_words import length_words

if TYPE_CHECKING:
    from benchmate.craft.design import Design

SLACK = 1e-9
"""The share of a sequence by which floating point may miss its end."""


def begun(
    design: "Design", estimate: Estimate, start: "Design | None", finish: "Design | None", repeats: int | None = None
) -> "Design":
    """The design, with where its variegated strings begin; unchanged where it has none.

    `repeats` are as those of a piece: -n ends at row n.
    """
    if not design.is_variegated:
        return design
    start_mm, _ = ends_mm(estimate.gauge, start, finish)
    backwards: frozenset[int] = frozenset()
    if start is not None and start.family.folds_strings(start.body):
        try:
            pieces = cut_list(design, estimate, start=start, finish=finish, repeats=repeats).pieces
        except NothingToCut:
            pieces = ()
        backwards = frozenset(string for piece in pieces for string in piece.strings[1:])
    return design._replace(beginnings=Beginnings(estimate.gauge, start_mm, backwards))


def where_to_begin(colour: Colour, lengths: Sequence[Sequence[int]], units: str) -> str:
    """How to cut lengths of a colour, each for these strings: `begin where navy begins`; empty for an ordinary thread.

    Of folded ones: `fold where navy begins: 1 and 3 on the navy side, 4 and 6 on the teal side`.
    """
    if not colour.sequence:
        return ""
    place = f"where {_beginning(colour, units)}"
    folded = [strings for strings in lengths if len(strings) > 1]
    if not folded:
        return f"begin {place}"
    halves = zip(zip(*folded, strict=True), (colour.sequence[0].say, colour.sequence[-1].say), strict=True)
    sides = [f"{listed(strings)} on the {say} side" for strings, say in halves]
    return f"fold {place}: {', '.join(sides)}"


def where_new_one_begins(design: "Design", string: int, units: str) -> str:
    """How to cut a string that takes over from this one: `begin where navy begins`; empty for an ordinary thread.

    From a string that runs through the sequence from its end, the new one does too: `begin where coral ends`.
    """
    colour = design.colours[design.strings[string - 1]]
    if not colour.sequence or string not in design.beginnings.backwards:
        return where_to_begin(colour, [(string,)], units)
    *others, last = colour.sequence
    if any(each.say == last.say for each in others):
        return f"begin where {length_words(last.mm, units)} of {last.say} end, before {colour.sequence[0].say}"
    return f"begin where {last.say} ends"


def left_between(colour: Colour, units: str) -> str:
    """How much of a variegated thread is left over between two lengths; empty for an ordinary one."""
    if not colour.sequence:
        return ""
    around = length_words(sum(each.mm for each in colour.sequence), units)
    return f"Between two lengths of {colour.say}, up to {around} are left before {_beginning(colour, units)}."


def with_what_is_left_between(lengths: Sequence[Length], design: "Design", most_mm: float) -> list[Length]:
    """The lengths with what is left between two of them: a variegated one takes its whole sequence so many times.

    One that would be longer than `most_mm` then, a skein, stays as it is: it is the last one of its source.
    """
    found = []
    for length in lengths:
        around = sum(each.mm for each in design.colours[length.colour].sequence)
        taken = ceil(length.cut_mm / around - SLACK) * around if around else length.cut_mm
        found.append(length._replace(cut_mm=max(length.cut_mm, taken)) if taken <= most_mm else length)
    return found


def _beginning(colour: Colour, units: str) -> str:
    """`navy begins`; where several colours have that name, which of them: `40 cm of navy begin, after teal`."""
    first, *others = colour.sequence
    alike = [each for each in others if each.say == first.say]
    if not alike:
        return f"{first.say} begins"
    return f"{length_words(first.mm, units)} of {first.say} begin, after {others[-1].say}"


def beginnings_of(lengths: Sequence[Length], design: "Design", units: str) -> dict[int, Begins]:
    """Where each variegated one of these lengths begins, by its place among them."""
    found = {}
    for at, length in enumerate(lengths):
        colour = design.colours[length.colour]
        if colour.sequence:
            words = where_to_begin(colour, [length.strings], units)
            found[at] = Begins(words, f"{'fold at' if len(length.strings) > 1 else 'from'} {colour.sequence[0].say}")
    return found


def hung_there(laying: LayingOut, design: "Design") -> LayingOut:
    """The steps of laying out, which say at which end variegated strings start."""

    def told(step: LayingStep) -> LayingStep:
        words = which_end(design, step.colour, step.strings)
        return step._replace(note=f"{step.note}; {words}", line=f"{step.line}; {words}") if words else step

    return laying._replace(steps=tuple(map(told, laying.steps)))


def which_end(design: "Design", colour: str, strings: Sequence[int]) -> str:
    """At which end strings of a colour start: `start at the navy end`; empty for an ordinary thread.

    Where lengths are folded, their halves start on either side of it: `1 from the navy side, 4 from the teal side`.
    """
    sequence = design.colours[colour].sequence
    if not sequence:
        return ""
    first, last = sequence[0].say, sequence[-1].say
    backwards = design.beginnings.backwards
    if not backwards or not strings:
        return f"start at the {first} end"
    halves = [
        (side, [string for string in strings if (string in backwards) is other])
        for side, other in ((first, False), (last, True))
    ]
    sides = [(side, found) for side, found in halves if found]
    if len(sides) == 1:
        return f"from the {sides[0][0]} side"
    return ", ".join(f"{listed(found)} from the {side} side" for side, found in sides)
