"""The knots of a diagonal band in printed lines."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Words
from benchmate.craft.progress import CurrentRun
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.trouble_words import WRONG_KNOT
from benchmate.craft.work import Work
from benchmate.families.diagonal.body import DiagonalKnot


class DiagonalWords(Words[DiagonalKnot]):
    """Knots by their names, strings by their positions from the left and their colours."""

    def name(self, step: DiagonalKnot) -> str:
        """The knot's name."""
        if step.unsure:
            return WRONG_KNOT
        return "left out" if step.knot is None else step.knot.words

    def spoken(self, design: DesignLike, step: DiagonalKnot) -> str:
        """`forward, 3 deep over 4 foam, then deep hangs at 4, foam at 3; row 1`."""
        if step.knot is None:
            return f"{leave_out(step)}, {self.crossed(design, step)}, each stays on its side; row {step.row}"
        return f"{step.knot.words}, {self.crossed(design, step)}, {outcome(design, step)}; row {step.row}"

    def take_out(self, design: DesignLike, step: DiagonalKnot) -> str:
        """`take out forward, 4 deep over 3 foam, deep goes back to 3, foam to 4; row 1`, with where they hang now.

        Where it is not certain which strings they are, `take out forward, 4 over 3, they change back; row 1`; and where
        nobody knows how it was made, `take out the wrong knot of string 3 and string 4, unless it was left out; row 1`.
        """
        pair = f"string {step.left} and string {step.left + 1}"
        if step.unsure:
            return f"take out {self.name(step)} of {pair}, unless it was left out; row {step.row}"
        if step.knot is None:
            return f"nothing to take out, the knot of {pair} was left out; row {step.row}"
        if not is_sure_of_both(step):
            back = "they change back" if step.knot.swaps else "each stays on its side"
            return f"take out {step.knot.words}, {step.knotting_to} over {step.passive_to}, {back}; row {step.row}"
        knotting, passive = design.say_of(step.knotting), design.say_of(step.passive)
        back = f"{knotting} goes back to {step.knotting_from}, {passive} to {step.passive_from}"
        if not step.knot.swaps:
            back = "each stays on its side"
        elif knotting == passive:
            back = "they change back"
        over = f"{step.knotting_to} {knotting} over {step.passive_to} {passive}"
        return f"take out {step.knot.words}, {over}, {back}; row {step.row}"

    def crossed(self, design: DesignLike, step: DiagonalKnot) -> str:
        """Which string goes over which, with positions from the left: `3 deep over 4 foam`, `3 deep and 4 foam`."""
        if step.knot is None:
            left, right = design.say_of(step.left_string), design.say_of(step.right_string)
            return f"{step.left} {left} and {step.left + 1} {right}"
        knotting = f"{step.knotting_from} {design.say_of(step.knotting)}"
        return f"{knotting} over {step.passive_from} {design.say_of(step.passive)}"

    def place_across(self, step: DiagonalKnot) -> int:
        """The position of the left string."""
        return step.left

    def next_pick_up(self, design: DesignLike, work: Work, number: int, run: CurrentRun, hanging: Sequence[int]) -> str:
        """`pick up 5 foam`, with its position at the pick-up; and `now at 3` where that differs."""
        step = work.step(number)
        assert isinstance(step, DiagonalKnot)
        now, then = hanging.index(step.knotting) + 1, step.knotting_from
        here = "" if now == then else f", now at {now}"
        return f"pick up {then} {design.say_of(step.knotting)}{here}"

    def pickups(self, count: int, fewest: int) -> str:
        """`12 pick-ups (fewest possible: 5)`."""
        return f"{counted(count, 'pick-up')} (fewest possible: {fewest})"


def is_sure_of_both(step: DiagonalKnot) -> bool:
    """Whether both strings of a knot are known."""
    return bool(step.left_string and step.right_string)


def leave_out(step: DiagonalKnot) -> str:
    """`leave out this knot: string 3 and string 4`."""
    return f"leave out this knot: string {step.left} and string {step.left + 1}"


def outcome(design: DesignLike, step: DiagonalKnot) -> str:
    """Where both strings hang afterwards."""
    if step.knot is None or not step.knot.swaps:
        return "each stays on its side"
    knotting, passive = design.say_of(step.knotting), design.say_of(step.passive)
    if knotting == passive:
        return "they change places"
    return f"then {knotting} hangs at {step.knotting_to}, {passive} at {step.passive_to}"
