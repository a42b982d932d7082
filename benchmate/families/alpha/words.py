"""The knots of an alpha band in printed lines."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Words
from benchmate.craft.progress import CurrentRun
from benchmate.craft.wording.counting import counted
from benchmate.craft.work import Work
from benchmate.families.alpha.body import AlphaKnot
from benchmate.families.alpha.floats import TAIL, How, PickUp, pick_up
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
        """`start a new foam, leave a 9 cm tail`, `bring foam across the back from column 11 (3 knots)`."""
        taken = _pick_up(work, number)
        if taken is None:
            return ""
        step = work.step(number)
        say = design.say_of(work.knotting(number))
        if taken.how is How.NEW:
            return f"start a new {say}" + (f", leave a {TAIL_CM} cm tail" if tails else "")
        where = f"column {taken.column}" + (f" in row {taken.row}" if step.row - taken.row > 1 else "")
        if taken.how is How.CUT:
            start = f"cut {say} behind {where}; start a new {say}"
            return start + (f", leave {TAIL_CM} cm tails" if tails else "")
        way = f" ({counted(taken.behind, 'row')} up)" if taken.up else f" ({counted(taken.behind, 'knot')})"
        return f"bring {say} across the back from {where}" + (way if taken.behind else "")

    def next_pick_up(self, design: DesignLike, step: AlphaKnot, run: CurrentRun, hanging: Sequence[int]) -> str:
        """The colour of the next leading string; at the end of a row it may be the same one, turned."""
        again = " again, the other way" if step.leading == run.string else ""
        return f"{design.say_of(step.leading)}{again}"

    def pickups(self, count: int, fewest: int) -> str:
        """The number of pick-ups; the chart gives the only order."""
        return counted(count, "pick-up")


def needs_new_thread(work: Work, number: int) -> bool:
    """True when a knot needs a new length of its leading string, which takes scissors and time."""
    taken = _pick_up(work, number)
    return taken is not None and taken.how is not How.FLOAT


def _pick_up(work: Work, number: int) -> PickUp | None:
    assert isinstance(work, AlphaWork)
    return pick_up(work, number)
