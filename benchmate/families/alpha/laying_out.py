"""Laying out an alpha band: its base strings from left to right, then the leading string of the first knot."""

from benchmate.craft.family import DesignLike
from benchmate.craft.laying_out import LayingOut, LayingStep, hung_side_by_side
from benchmate.families.alpha.body import Alpha


def laying_out(design: DesignLike, body: Alpha, *, started: bool) -> LayingOut:
    """The base strings in one step, as they have one colour; the first leading string last."""
    base = hung_side_by_side(body.strings, design.say_of, started=started, called="base string")
    from_left = body.first == "left"
    colour = body.rows[0][0 if from_left else -1]
    # Leading strings are numbered after the base strings, in the order of first use.
    leading = body.columns + 1
    column = 1 if from_left else body.columns
    word = f"{design.say_of(leading)} at the {body.first}"
    note = f"the first leading string; it makes its first knot over base string {column}"
    return base._replace(steps=(*base.steps, LayingStep(colour, (leading,), (), word, note, f"{word}, {note}")))
