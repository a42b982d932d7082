"""Loading the disk of a braid: the slots one by one, clockwise from slot 1."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike
from benchmate.craft.laying_out import LayingOut, LayingStep
from benchmate.craft.thread.length_to_cut import Length, Wanted, wanted
from benchmate.families.braid.body import Braid


def laying_out(design: DesignLike, body: Braid, *, started: bool) -> LayingOut:
    """One strand a step."""
    steps: list[LayingStep] = []
    for number, (slot, colour) in enumerate(body.strands, 1):
        say = design.say_of(slot)
        note = f"strand {number} of {len(body.strands)}"
        if number == 1:
            note += "; load the slots clockwise"
        word, line = f"{say} in {slot}", f"{say} in slot {slot}, {note}"
        steps.append(LayingStep(colour, (slot,), (slot,), word, f"slot {slot}, {note}", line))
    return LayingOut("load", "the slots", tuple(steps), "slot")


def lengths_wanted(lengths: Sequence[Length]) -> list[Wanted]:
    """A strand has the number of the slot it is loaded in."""
    return [wanted("slot", length.strings, "strand") for length in lengths]
