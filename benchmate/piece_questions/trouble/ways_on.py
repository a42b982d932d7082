"""Three ways on from a wrong knot: take it out, change the fewest later knots, or leave it. What each costs."""

from collections.abc import Sequence
from enum import Enum
from functools import cached_property
from typing import NamedTuple

from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.craft.trouble.trouble import MENDED_WITHIN, Mending
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.trouble_words import made_words
from benchmate.craft.work import ReportProgress
from benchmate.families.registry import trouble_of
from benchmate.piece_questions.trouble.knot_places import colour_shown, place_of
from benchmate.piece_questions.trouble.known_mistakes import changes_in_words, due, planned_for
from benchmate.piece_questions.trouble.what_went_wrong import WrongKnots
from benchmate.store.open_piece import OpenPiece


class WayOn(Enum):
    """The ways on; the value is the key that chooses one."""

    TAKE_OUT = "1"
    MEND = "2"
    LEAVE = "3"

    @property
    def key(self) -> str:
        """The key that chooses it."""
        return self.value


class Cost(NamedTuple):
    """What a way on costs: in few words for large type, and the rest of it in sentences."""

    briefly: str
    says: Sequence[str]


NEEDS_HOW_MADE = Cost("how made?", ["Only for a maker who can tell how it was made."])


class WaysOn:
    """The three ways on from one wrong knot or two, numbered through the whole piece."""

    def __init__(self, held: OpenPiece, wrong: WrongKnots) -> None:
        """`wrong` are tied knots of a diagonal band; `held` is not changed while this is in use.

        Where it is unknown how they were made they can only be taken out, because the other ways rest on that. One that
        is known already may be among them: the ways on from it are then those that there are now.
        """
        self.held = held
        self.made = dict(sorted(wrong.made.items()))
        self.unknown = sorted(wrong.unknown)
        self.wrong = sorted((*self.made, *self.unknown))
        charted, tied = held.charted, held.progress.is_tied
        known = [step for step in self.wrong if step in held.altered.mistakes or step in held.altered.not_done]
        self._served = {step: how for each in known for step, how in held.altered.done_for(each, tied).items()}
        self._planned = {step: how for each in known for step, how in planned_for(held, each).items()}
        as_charted = {step: charted.how_made(step) for step in (*self._served, *self._planned)}
        as_meant = {**as_charted, **{step: due(held, step) for step in known}}
        self.meant = held.whole.made_otherwise(as_meant) if as_meant else held.whole
        """The piece as it is to be: without the wrong knots, and without what was or will be changed for them."""
        self.mending: Mending | None = None
        """The way to change later knots; None before it was searched, and after the search was stopped."""
        self.mended: WholePiece | None = None
        """The piece with the wrong knots in it and the changed ones after them; None where there are no such."""
        self.mended_otherwise: Sequence[int] = ()
        """The later knots, tied and open, that show another colour in it."""
        self._trouble = trouble_of(held.whole.main.design.family)

    @property
    def first(self) -> int:
        """The wrong knot that is reached with the fewest others undone; the later of two alike."""
        return min(self.wrong, key=lambda step: (len(self.held.progress.must_come_out(step)), -step))

    @cached_property
    def out(self) -> Sequence[int]:
        """All knots that come out to make it as charted: the wrong ones and all that rests on them."""
        return self.held.progress.must_come_out(*self.wrong)

    @cached_property
    def left_as_it_is(self) -> WholePiece:
        """The piece with the wrong knots in it and the rest as charted."""
        return self.meant.made_otherwise({**self._served, **self.made})

    def take_in(self, mending: Mending | None) -> None:
        """Takes in what `look_for_mending` found; None where it was stopped."""
        self.mending = mending
        self.mended = None
        self.mended_otherwise = ()
        if self.changes:
            self.mended = self.meant.made_otherwise({**self._served, **self.made, **self.changes})
            self.mended_otherwise = self.shows_otherwise(self.mended)

    @property
    def changes(self) -> MadeOtherwise:
        """The knots to be made otherwise."""
        mending = self.mending
        if mending is None or mending.changes is None:
            return {}
        first = self.meant.main.first
        return {step + first: made for step, made in mending.changes.items()}

    def look_for_mending(self, report: ReportProgress | None = None) -> Mending | None:
        """The fewest later knots to make otherwise; changes nothing. What `report` raises ends the search."""
        if self.unknown:
            return None
        main, first = self.meant.main, self.meant.main.first
        made = {step - first: how for step, how in {**self._served, **self.made}.items()}
        tied = [step - first for step in self.held.progress.history if self._in_band(step)]
        gone = set(tied)
        order = (step - first for step in self.held.order.sequence if self._in_band(step))
        sequence = [*tied, *(step for step in order if step not in gone)]
        return self._trouble.mend(main.work, made, sequence, len(tied), MENDED_WITHIN, report)

    def _in_band(self, step: int) -> bool:
        main = self.meant.main
        return main.first <= step < main.first + main.work.size

    def shows_otherwise(self, piece: WholePiece) -> list[int]:
        """The knots, tied and open, that show another colour in such a piece than in the one as it was meant to be.

        The wrong ones are not among them.
        """
        meant, main = self.meant, self.meant.main
        right = (step for step in range(main.first, main.first + main.work.size) if step not in self.wrong)
        return [step for step in right if colour_shown(meant, step) != colour_shown(piece, step)]

    @cached_property
    def accepted(self) -> Sequence[int]:
        """The later knots that show another colour where the wrong ones are left and nothing is changed."""
        return self.shows_otherwise(self.left_as_it_is)

    @cached_property
    def ends_as_charted(self) -> bool:
        """Whether the strings end in the colours they should where the wrong knots are left."""
        return self.hang_at_the_end(self.left_as_it_is) == self.hang_at_the_end(self.meant)

    def hang_at_the_end(self, piece: WholePiece) -> list[str]:
        """The colour names of the strings, left to right, when all knots of such a piece are tied."""
        work, body = piece.main.work, piece.main.design.body
        hanging = work.at_start()
        for step in range(work.size):
            work.change_places(step, hanging)
        return [body.colour_of(string) for string in hanging]

    # In words.

    def cost(self, way: WayOn) -> Cost:
        """What a way on costs."""
        return {WayOn.TAKE_OUT: self._cost_out, WayOn.MEND: self._cost_mend, WayOn.LEAVE: self._cost_leave}[way]()

    def _cost_out(self) -> Cost:
        there = sum(self.left_as_it_is.how_made(step) is not None for step in self.out if self._in_band(step))
        there += sum(not self._in_band(step) for step in self.out)
        if there == len(self.out):
            ties = "tie it again" if there == 1 else "tie them again"
        else:
            # One that was left out is not there to be taken out.
            ties = f"tie {len(self.out)}"
        takes = f"Take out {counted(there, 'knot')}" if there else "Nothing to take out"
        return Cost(f"take out: {there}", [f"{takes}, {ties}{self._tied_again()}."])

    def _tied_again(self) -> str:
        """As what the knots that come out are tied again."""
        planned = self.planned_again
        if not planned:
            return ", as charted"
        if len(self.out) > 1:
            return f", as charted and, {counted(len(planned), 'time')}, as planned"
        ((step, how),) = planned.items()
        return f", {made_words(how)} instead of {made_words(self.held.charted.how_made(step))}, as planned"

    @cached_property
    def planned_again(self) -> MadeOtherwise:
        """Those of the knots that come out that are to be made otherwise than charted then."""
        altered, tied = self.held.altered.copy(), set(self.held.progress.history)
        for step, how in self.made.items():
            if how == self.held.charted.how_made(step):
                altered.is_charted(step, tied=True)
            else:
                altered.was_made(step, how)
        for step in self.out:
            tied.discard(step)
            altered.untied(step, tied.__contains__)
        return {step: altered.changes[step] for step in self.out if step in altered.changes}

    def _cost_mend(self) -> Cost:
        mending = self.mending
        if self.unknown:
            return NEEDS_HOW_MADE
        if mending is None:
            return Cost("no change known", ["The search was stopped."])
        if mending.changes is None:
            return Cost(
                "no change", [f"No change of up to 3 knots in the next {MENDED_WITHIN} rows brings the strings back."]
            )
        if not mending.changes:
            return Cost("change: 0", ["The strings hang right already: nothing to change."])
        many = counted(len(mending.changes), "later knot")
        after = f"Leave {self._them}, make {many} otherwise: right again after row {mending.from_row}."
        return Cost(f"change: {len(mending.changes)}", [after, self._shown(self.mended_otherwise)])

    def _cost_leave(self) -> Cost:
        if self.unknown:
            return NEEDS_HOW_MADE
        end = "The strings end as charted." if self.ends_as_charted else "The strings end in another order."
        many = len(self.accepted)
        differs = f"{many} {'differs' if many == 1 else 'differ'}" if many else "0"
        leaves = f"Leave {self._them}, change nothing."
        return Cost(f"leave {self._them}: {differs}", [leaves, self._shown(self.accepted), end])

    @property
    def _them(self) -> str:
        return "it" if len(self.wrong) == 1 else "them"

    def _shown(self, steps: Sequence[int]) -> str:
        """How many knots show another colour, and how many of them are tied."""
        if not steps:
            return "No later knot shows it."
        tied = sum(map(self.held.progress.is_tied, steps))
        already = "" if not tied else ", all tied already" if tied == len(steps) else f", {tied} of them tied already"
        return f"{counted(len(steps), 'later knot')} in another colour{already}."

    def wrong_words(self) -> str:
        """The wrong knots: `row 14, third from the left: backward instead of forward`."""
        known = [
            f"{place_of(self.held, step)}: {made_words(how)} instead of {made_words(self.meant.how_made(step))}"
            for step, how in self.made.items()
        ]
        unknown = [f"{place_of(self.held, step)}: wrong, made in a way not known" for step in self.unknown]
        return "; and ".join([*known, *unknown])

    def changes_words(self) -> list[str]:
        """The changed knots in the order they come: `row 15, second from the left: backward`."""
        return changes_in_words(self.held, self.changes)

    # What is chosen.

    def choose(self, way: WayOn) -> None:
        """Saves a way on; it is then led through. Raises what the piece raises."""
        if way is WayOn.TAKE_OUT:
            self.held.take_out(self.made, self.unknown)
        else:
            changes = self.changes if way is WayOn.MEND else {}
            dropped = {step: self.held.charted.how_made(step) for step in self._planned}
            self.held.leave(self.made, {**dropped, **changes})

    def chosen_words(self, way: WayOn) -> str:
        """What to say once a way was chosen."""
        if way is WayOn.MEND:
            return f"Left wrong. To change: {'; '.join(self.changes_words())}."
        if way is WayOn.LEAVE:
            return "Left wrong. What follows is drawn and said as it will be."
        return "How it was made is not known: what is not certain is left out." if self.unknown else ""

    def can_choose(self, way: WayOn) -> bool:
        """False for changing later knots where that is not possible, and for all but taking out a knot not known."""
        if self.unknown:
            return way is WayOn.TAKE_OUT
        return way is not WayOn.MEND or bool(self.changes)
