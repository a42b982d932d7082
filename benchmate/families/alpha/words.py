"""The knots of an alpha band in lines."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Words
from benchmate.craft.progress import CurrentRun
from benchmate.craft.wording.counting import counted
from benchmate.craft.work import Work
from benchmate.families.alpha.body import AlphaKnot
from benchmate.families.alpha.floats import TAIL, How, TakeUp, take_up
from benchmate.families.alpha.work import AlphaWork

TAIL_CM = round(TAIL / 10)


class AlphaWords(Words[AlphaKnot]):
    """Knots by their names, leading strings by their colours, base strings by their columns."""

    def name(self, step: AlphaKnot) -> str:
        """The knot's name."""
        return step.knot.words

    def spoken(self, design: DesignLike, step: AlphaKnot) -> str:
        """`forward, foam over 3; row 1, column 3`."""
        return f"{step.knot.words}, {self.crossed(design, step)}; row {step.row}, column {step.column}"

    def take_out(self, design: DesignLike, step: AlphaKnot) -> str:
        """`take out forward, foam over 3; row 1, column 3`."""
        return f"take out {self.spoken(design, step)}"

    def crossed(self, design: DesignLike, step: AlphaKnot) -> str:
        """Which leading string goes over which base string: `foam over 3`."""
        return f"{design.say_of(step.leading)} over {step.column}"

    def place_across(self, step: AlphaKnot) -> int:
        """The column."""
        return step.column

    def pick_up(self, design: DesignLike, work: Work, number: int, *, tails: bool) -> str:
        """Where another leading string comes from: new, from where it was put down, or cut there and begun anew."""
        taken = _take_up(work, number)
        if taken is None:
            return ""
        step = work.step(number)
        say = design.say_of(work.knotting(number))
        if taken.how is How.NEW:
            return f"start {say}" + (f", tail {TAIL_CM} cm" if tails else "")
        where = f"behind {taken.column}" + (f" in row {taken.row}" if step.row - taken.row > 1 else "")
        if taken.how is How.CUT:
            return f"cut {say} {where}, start it anew" + (f", tails {TAIL_CM} cm" if tails else "")
        way = f", up {counted(taken.behind, 'row')}" if taken.up else f", across {counted(taken.behind, 'knot')}"
        return f"take {say} from {where}" + (way if taken.behind else "")

    def next_pick_up(self, design: DesignLike, step: AlphaKnot, run: CurrentRun, hanging: Sequence[int]) -> str:
        """The colour of the next leading string; the same one turns where a row ends."""
        again = " again, the other way" if step.leading == run.string else ""
        return f"{design.say_of(step.leading)}{again}"

    def pickups(self, count: int, fewest: int) -> str:
        """How often a leading string is taken in hand; there is only the given order."""
        return f"{counted(count, 'pick-up')} of a leading string"


def needs_new_thread(work: Work, number: int) -> bool:
    """True when a knot needs a new length of its leading string: scissors, and time."""
    taken = _take_up(work, number)
    return taken is not None and taken.how is not How.FLOAT


def _take_up(work: Work, number: int) -> TakeUp | None:
    assert isinstance(work, AlphaWork)
    return take_up(work, number)
