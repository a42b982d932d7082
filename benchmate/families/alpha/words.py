"""The knots of an alpha band in printed lines."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Words
from benchmate.craft.progress import CurrentRun
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.trouble_words import WRONG_KNOT
from benchmate.craft.work import Work
from benchmate.families.alpha.body import AlphaKnot
from benchmate.families.alpha.plan import PickUp
from benchmate.families.alpha.work import AlphaWork

TAIL_CM = 9
"""The length of a tail, at a cut and where a string is begun: 8 to 10 cm (common practice)."""
TAIL = f"leave a {TAIL_CM} cm tail"
"""What to do with each end."""


class AlphaWords(Words[AlphaKnot]):
    """Knots by their names, leading strings by their colours, base strings by their columns."""

    def name(self, step: AlphaKnot) -> str:
        """The knot's name."""
        return WRONG_KNOT if step.unsure else step.knot.words

    def spoken(self, design: DesignLike, step: AlphaKnot) -> str:
        """`forward, foam over 3; row 1, column 3`."""
        return f"{step.knot.words}, {self.crossed(design, step)}; row {step.row}, column {step.column}"

    def take_out(self, design: DesignLike, step: AlphaKnot) -> str:
        """`take out forward, foam over 3; row 1, column 3`, `take out the wrong knot over 3; row 1, column 3`."""
        if step.unsure:
            return f"take out {WRONG_KNOT} over {step.column}; row {step.row}, column {step.column}"
        return f"take out {self.spoken(design, step)}"

    def crossed(self, design: DesignLike, step: AlphaKnot) -> str:
        """Which leading string goes over which base string: `foam over 3`; empty where its colour is not known."""
        if step.unsure:
            return ""
        return f"{design.say_of(step.leading)} over {step.column}"

    def place_across(self, step: AlphaKnot) -> int:
        """The column."""
        return step.column

    def pick_up(self, design: DesignLike, work: Work, number: int, *, tails: bool) -> str:
        """`begin a new foam, leave a 9 cm tail`, `bring foam across the back from column 11 (3 knots)`.

        The string before is cut where it has made its last knot: `begin a new foam; cut deep at column 4`.
        """
        taken = pick_up_of(work, number)
        if taken is None:
            return ""
        say, tail = design.say_of(work.knotting(number)), f", {TAIL}" if tails else ""
        if taken.float is None:
            first = f"begin {'another' if taken.others else 'a new'} {say}{tail}"
        else:
            columns, rows, _ = taken.float
            # With more of this colour hanging, its place says which one it is.
            where, which = _waits_at(taken, work, number), "the " if taken.others else ""
            if columns or rows:
                way = counted(columns, "knot") if columns > rows else f"{counted(rows + 1, 'row')} up"
                across = " across the back" if tails else ""
                first = f"bring {which}{say}{across} from {where} ({way})"
            else:
                first = f"pick up {which}{say} at {where}"
        if not taken.cuts:
            return first
        return f"{first}; cut {design.say_of(work.knotting(number - 1))} at column {work.passive(number - 1)}{tail}"

    def pick_up_in_brief(self, design: DesignLike, work: Work, number: int) -> str:
        """`begin another foam`, `foam from column 11 in row 3; cut deep`."""
        taken, say = pick_up_of(work, number), design.say_of(work.knotting(number))
        if taken is None:
            return ""
        if taken.float is None:
            first = f"begin {'another' if taken.others else 'a new'} {say}"
        else:
            first = f"{say} from {_waits_at(taken, work, number)}"
        return f"{first}; cut {design.say_of(work.knotting(number - 1))}" if taken.cuts else first

    def in_brief(self, design: DesignLike, work: Work, number: int, *, always: bool) -> str:
        """The leading string of a knot in few words: `foam`, `new foam`, `another foam`, `foam from column 11`.

        A new one where no other of its colour hangs is called new only where that must `always` be said.
        """
        taken, say = pick_up_of(work, number), design.say_of(work.knotting(number))
        if taken is None:
            return say
        if taken.float is None:
            return f"another {say}" if taken.others else f"new {say}" if always else say
        return f"{say} from {_waits_at(taken, work, number)}" if taken.others else say

    def next_pick_up(self, design: DesignLike, work: Work, number: int, run: CurrentRun, hanging: Sequence[int]) -> str:
        """`pick up foam from column 11`, `begin another foam`; at the end of a row `turn: foam, the other way`."""
        taken, brief = pick_up_of(work, number), self.in_brief(design, work, number, always=True)
        if taken is None or work.knotting(number) == run.string:
            return f"turn: {brief}, the other way"
        return f"{'begin' if taken.float is None else 'pick up'} {brief}"

    def also_hanging(self, design: DesignLike, work: Work, done: int) -> list[str]:
        """`leading string foam, at column 11, row 3`; the one used last says so."""
        assert isinstance(work, AlphaWork)
        found = []
        for knot in work.plan.hanging_after(done):
            last = ", last used" if knot == done - 1 else ""
            where = f"at column {work.passive(knot)}, row {work.row_of(knot)}"
            found.append(f"leading string {design.say_of(work.knotting(knot))}, {where}{last}")
        return found

    def before_first(self, work: Work) -> str:
        """How many leading strings there are and how many hang at once, their ends, and the floats."""
        assert isinstance(work, AlphaWork)
        plan = work.plan
        strings = f"{counted(plan.strings, 'leading string')} in all"
        if plan.strings > 1:
            strings += f", up to {plan.hang} hanging at once" if plan.hang > 1 else ", one at a time"
        text = f"{strings}; {2 * plan.strings} ends to hide."
        columns, rows = plan.longest
        behind = " and ".join(counted(most, one) for most, one in ((columns, "column"), (rows, "row")) if most)
        if behind:
            text += f" Floats pass behind up to {behind}; catch a long one under a knot on its way."
        return text

    def pickups(self, count: int, fewest: int) -> str:
        """The number of pick-ups; the chart gives the only order."""
        return counted(count, "pick-up")


def needs_scissors(work: Work, number: int) -> bool:
    """True when a string is cut or begun before a knot, which takes scissors and time."""
    taken = pick_up_of(work, number)
    return taken is not None and (taken.float is None or taken.cuts)


def _waits_at(taken: PickUp, work: Work, number: int) -> str:
    """Where a string waits: its column, and its row unless that is near and no other can be taken for it."""
    within = "" if is_near(taken, work, number) else f" in row {work.row_of(taken.waits)}"
    return f"column {work.passive(taken.waits)}{within}"


def is_near(taken: PickUp, work: Work, number: int) -> bool:
    """True where a string waits in this row, or in the one below and no other can be taken for it."""
    return work.row_of(number) - work.row_of(taken.waits) <= (0 if taken.others else 1)


def pick_up_of(work: Work, number: int) -> PickUp | None:
    """How the leading string of a knot gets in hand; None where it is in hand."""
    assert isinstance(work, AlphaWork)
    return work.plan.pick_up(number)


def waiting_for(work: Work, number: int) -> list[int]:
    """The knots behind which strings wait that have the colour of a knot, the first of its stretch."""
    assert isinstance(work, AlphaWork)
    return work.plan.waiting(number)
