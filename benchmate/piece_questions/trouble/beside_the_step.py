"""What is said beside the steps of a piece, each in one quiet line: a string to lay in, a rest, a string that will run
short, small trouble. At most one at a time, and each only when its moment has come."""

from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.history.rests import WorkSinceRest
from benchmate.craft.pace import REST
from benchmate.craft.wording.prompts import Beside
from benchmate.piece_questions.knot_choices import tied_knot
from benchmate.piece_questions.trouble.small_trouble import ALOUD, SmallTrouble
from benchmate.piece_questions.trouble.string_words import string_called
from benchmate.piece_questions.trouble.work_before import times_of_work
from benchmate.settings import Settings
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Pieces

if TYPE_CHECKING:
    from benchmate.piece_questions.trouble.string_forecast import Expected, Forecasts

ROWS_AHEAD = 5
"""So many rows before a string has to be replaced, that is said without being asked."""

JUST_TIED, LAST_PRESSES = 12, 3
"""A step among so many last ones was tied a moment ago, and so was one of the last presses, however many those tied."""


class Quiet(NamedTuple):
    """A quiet line, and the words for the voice, empty where it says nothing; `rest` marks the offer of a rest.

    Where it says what to do before the knot, `first` says it in fewer words, to be read from afar. `tip` is what the
    voice may say after the step.
    """

    text: str
    spoken: str = ""
    rest: bool = False
    first: str = ""
    tip: str = ""

    @property
    def beside(self) -> Beside:
        """What of it is said together with the step."""
        return Beside(self.spoken, tip=self.tip)


NOTHING = Quiet("")


class QuietLines:
    """The quiet lines of one sitting with a piece."""

    def __init__(self, pieces: Pieces) -> None:
        """`pieces` are all that are kept: work on another piece is work too."""
        self._pieces = pieces
        self._work: WorkSinceRest | None = None
        self._forecasts: Forecasts | None = None
        self._said: set[tuple[int, int]] = set()
        self._asked: set[int] = set()
        self._small = SmallTrouble()

    def press(self, held: OpenPiece, steady: float) -> None:
        """Takes in a press that changed the piece, at so many seconds by the steady clock.

        The piece knows when that was by the clock on the wall.
        """
        if not held.presses:
            return
        wall = held.presses[-1].at
        if self._work is None:
            self._work = WorkSinceRest(times_of_work(self._pieces, held, wall), wall, steady)
            rested = _was_put_away(held)
        else:
            rested = self._work.press(wall, steady)
        if rested:
            self._small.rested()

    def at_this_step(self, held: OpenPiece, counted: Sequence[int]) -> Quiet | None:
        """What belongs to the steps that the next press counts, or to their row, and stays until they are done."""
        for expected in self._short(held):
            if (found := _to_lay_in(held, expected, counted)) is not None:
                return found
        return None

    def in_passing(self, held: OpenPiece, settings: Settings, short_keys: str, *, calm: bool) -> Quiet | None:
        """What is said once and gone with the next press; `short_keys` are what to press or type about a string.

        Small trouble is said at a `calm` step only, after a press that tied something.
        """
        if self._work is not None and self._work.offers(settings.rest):
            return _rest(int(self._work.seconds // 60))
        for expected in self._short(held):
            found = self._laid_in(held, expected, short_keys) or self._ahead(held, expected, short_keys)
            if found is not None:
                return found
        tied = bool(held.presses) and held.presses[-1].steps > 0
        small = self._small.at(held) if calm and tied and settings.tips == "on" else ""
        return Quiet(small, tip=ALOUD[small]) if small else None

    def _short(self, held: OpenPiece) -> "Sequence[Expected]":
        """The strings that will probably run short, the first to do so first."""
        if held.wrong is not None or not held.holding or held.progress.finished:
            return ()
        if held.was_cut is None and not held.ticked and not held.measured:
            # Nothing is known of the strings, and a piece should open quickly.
            return ()
        if self._forecasts is None:
            from benchmate.piece_questions.trouble.string_forecast import Forecasts

            self._forecasts = Forecasts()
        # What cannot be read is said to whoever asks about a string; a step goes on without it.
        with suppress(StoreError):
            forecast = self._forecasts.of(held)
            if forecast is not None:
                place = held.order.place
                return sorted(forecast.short, key=lambda each: place[_before(each)])
        return ()

    def _laid_in(self, held: OpenPiece, expected: "Expected", short_keys: str) -> Quiet | None:
        """Asks once, after the knot in which a new string was to be laid in, to say that it has taken over."""
        lay_in = expected.lay_in
        if lay_in in self._asked and not held.progress.is_tied(lay_in):
            # Its knot was undone, and the new one with it: all of it comes again.
            self._asked.discard(lay_in)
            self._said.discard((expected.string, expected.gives_out))
        if lay_in is None or lay_in in self._asked or not held.progress.is_tied(lay_in):
            return None
        self._asked.add(lay_in)
        just_tied = max(JUST_TIED, sum(press.steps for press in held.presses[-LAST_PRESSES:]))
        if lay_in not in held.progress.history[-just_tied:]:
            return None
        assert expected.gives_out is not None
        self._said.add((expected.string, expected.gives_out))
        colour = held.whole.main.design.say_of(expected.string)
        return Quiet(f"Is the new {colour} in? {short_keys}: say how long it is.")

    def _ahead(self, held: OpenPiece, expected: "Expected", short_keys: str) -> Quiet | None:
        """A string that will probably run short, said once when it is near."""
        gives_out = expected.gives_out
        assert gives_out is not None
        tied = held.progress.is_tied
        said = expected.string, gives_out
        if said in self._said or tied(gives_out):
            return None
        target = expected.lay_in if expected.lay_in is not None and not tied(expected.lay_in) else gives_out
        main = held.whole.main.work
        near = ROWS_AHEAD * main.size / max(1, main.rows)
        if held.order.place[target] - held.progress.done > near:
            return None
        self._said.add(said)
        row, colour = held.whole.step(gives_out).row, held.whole.main.design.say_of(expected.string)
        hidden = f"lay in a new one by {tied_knot(held, target)}"
        until = "no knot before hides the join" if target == gives_out else hidden
        name = string_called(held, expected.string)
        name = f"{name[0].upper()}{name[1:]}"
        if expected.lay_in is not None and tied(expected.lay_in):
            text = f"{name} probably runs short in row {row}, unless a new one is in. {short_keys}: say how long it is."
        else:
            text = f"{name} probably runs short in row {row}; {until}. {short_keys}: measure it."
        return Quiet(text, f"{colour} probably runs short in row {row}")


def _was_put_away(held: OpenPiece) -> bool:
    """Whether the piece lay there for as long as a rest before its last press, which was not its first one."""
    # Without a press before, it was begun just now, even where a jump or a lesson counted many knots at once.
    before = [press.at for press in held.presses[-2:-1]]
    begun = held.progress.done > held.whole.main.first + 1
    return begun and bool(before) and held.presses[-1].at - before[0] >= REST


def _before(expected: "Expected") -> int:
    """The step by which something has to be done about a string."""
    found = expected.gives_out if expected.lay_in is None else expected.lay_in
    assert found is not None
    return found


def _to_lay_in(held: OpenPiece, expected: "Expected", counted: Sequence[int]) -> Quiet | None:
    """What to do about a string at the steps that the next press counts, or in their row."""
    lay_in, gives_out, number = expected.lay_in, expected.gives_out, held.progress.next
    assert gives_out is not None
    if number is None:
        return None
    colour, tied = held.whole.main.design.say_of(expected.string), held.progress.is_tied
    now = string_called(held, expected.string)
    if lay_in is not None and lay_in in counted:
        here = "in this knot" if len(counted) == 1 else f"at {tied_knot(held, lay_in)}"
        first = f"lay in a new {colour} beside {now}" if len(counted) == 1 else f"{here} lay in a new {colour}"
        text = f"Lay in a new {colour} {here}, beside {now}, which is carried: that hides the join."
        return Quiet(text, f"lay in a new {colour} {here}", first=first)
    if lay_in is not None and not tied(lay_in) and held.whole.row_of(lay_in) == held.whole.row_of(number):
        text = f"In this row, lay in a new {colour} beside {now}, at {tied_knot(held, lay_in)}."
        return Quiet(text, f"in this row, lay in a new {colour}")
    if gives_out in counted and (lay_in is None or tied(lay_in)):
        then = "; a new one will show" if lay_in is None else ", unless a new one is in"
        text = f"{now[0].upper()}{now[1:]} may give out here{then}."
        return Quiet(text, f"{colour} may give out here")
    return None


def _rest(minutes: int) -> Quiet:
    text = f"Rest your hands for 5 to 10 minutes: they have worked for {minutes}. Stop when it hurts."
    return Quiet(text, f"{minutes} minutes: rest your hands", rest=True)
