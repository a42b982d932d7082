"""The questions of the step screen, each on its own screen, and what their answers do."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol, TypeVar

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.ending.length import LengthScreen
from benchmate.bench.screens.flood import FloodQuestion
from benchmate.bench.screens.keys import KeysScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.out_of_turn import OutOfTurnScreen
from benchmate.bench.screens.question import CONTINUE, LEAVE, NEW, Answer, Callback, Question, act
from benchmate.bench.screens.voice_settings import VoiceSettingsScreen
from benchmate.bench.screens.way_of_working import way_question
from benchmate.bench.step.planning import Planning
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.craft.ways import Way
from benchmate.craft.wording.prompts import Beside, Happened
from benchmate.piece_exchange import rescued
from benchmate.piece_length import Lengths
from benchmate.piece_opening import OpenedPiece, UpdatedDesign, WorkingOptions, nothing_tied
from benchmate.piece_questions import design_choices, way_choices
from benchmate.piece_questions.band_length import BandLength, KnownLengths
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

if TYPE_CHECKING:
    from benchmate.bench.screens.wrong_knot import Chosen
    from benchmate.piece_questions.trouble.lost_place import FoundPlace

T = TypeVar("T")


class Asks(Protocol):
    """The step screen as the questions use it."""

    notice: str
    says: Beside

    @property
    def bench(self) -> Bench:
        """The app."""

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def say(self, notice: str) -> None:
        """Shows a notice."""

    def refuse(self, notice: str, why: str) -> None:
        """Shows why a press changed nothing, and says it."""

    def show(self) -> None:
        """Shows the screen as it is now."""

    def blocked(self) -> bool:
        """True, with a notice that says why, when the piece is read-only or a wrong knot is being undone."""

    def change(
        self, change: Callable[[], None], happened: Happened = Happened.RESUMED, steps: Sequence[int] = ()
    ) -> bool:
        """Changes the piece, shows it and says it. False, with a notice, when the change failed."""

    def leave(self) -> None:
        """Leaves, unless what is on the screen would be lost with it."""

    def lost(self, taken: TakenOver) -> None:
        """Shows that another window has taken the piece over."""

    def ask(self, screen: LinesScreen[T], answered: Callable[[T | None], None]) -> None:
        """Opens a screen over this one; `answered` gets its result."""


class Questions:
    """Asks questions about the piece, and acts on the answers."""

    def __init__(self, step: Asks, opening: OpenedPiece, planning: Planning, spoken: SpokenStep) -> None:
        """`opening` is the piece as it was opened, with what is known about its design file."""
        self._step = step
        self._opening = opening
        self._planning = planning
        self._spoken = spoken
        self._known_lengths = KnownLengths(opening.options.band_mm)

    def flood(self) -> None:
        """Stops the bench after more presses than hands can make."""
        self._step.ask(FloodQuestion(self._step.bench), self._after_flood)

    def _after_flood(self, go_on: bool | None) -> None:
        if go_on is False:
            self._step.leave()

    def keys(self) -> None:
        """Shows all keys."""
        self._step.ask(KeysScreen(self._step.bench), lambda _: self._step.show())

    def voice_settings(self) -> None:
        """Opens the settings of the voice."""
        screen = VoiceSettingsScreen(self._step.bench, self._step.held, self._spoken.voice)
        self._step.ask(screen, lambda _: self._voice_chosen())

    def _voice_chosen(self) -> None:
        self._spoken.say_step(Happened.RESUMED)
        self._step.show()

    def wrong_knot(self) -> None:
        """Asks for the wrong knot, and does what follows from it."""
        step = self._step
        if step.blocked():
            return
        # Imported here, as below: it brings all screens about trouble with it, and the bench opens without them.
        from benchmate.bench.screens.wrong_knot import WrongKnotScreen

        step.ask(WrongKnotScreen(step.bench, step.held), self._found_out)

    def _found_out(self, chosen: "Chosen | None") -> None:
        step = self._step
        if chosen is None:
            return
        change, notice, happened, heard = chosen
        if change is None:
            step.say(notice)
            if notice:
                self._spoken.say_then_step(notice)
            return

        def make() -> None:
            change()
            step.notice, step.says = notice, Beside(notice if heard is None else heard)

        step.change(make, happened)

    def jump(self) -> None:
        """Asks for a row or knot, and goes there."""
        step = self._step
        if not step.blocked() and step.held.whole.size:
            from benchmate.bench.screens.jump import JumpScreen

            step.ask(JumpScreen(step.bench, step.held), self._jumped)

    def _jumped(self, place: "FoundPlace | None") -> None:
        if place is not None:
            from benchmate.bench.screens.wrong_knot import going_to

            self._found_out(going_to(self._step.held, place))

    def out_of_turn(self) -> None:
        """Asks which knot was tied out of turn, and counts it."""
        step = self._step
        if step.blocked():
            return
        if step.held.progress.finished:
            step.refuse("All done.", "")
        else:
            step.ask(OutOfTurnScreen(step.bench, step.held), self._tied_out_of_turn)

    def _tied_out_of_turn(self, number: int | None) -> None:
        if number is not None:
            self._step.change(lambda: self._step.held.tie([number]), Happened.TIED, [number])

    def way(self) -> None:
        """Asks for the way of working, and changes it."""
        step = self._step
        if step.blocked():
            return
        if not step.held.whole.main.design.family.has_mirror_image:
            step.refuse(way_choices.ONE_WAY, "only one way of working")
            return
        step.ask(way_question(step.bench, step.held, may_mirror=nothing_tied(step.held)), self._way_chosen)

    def _way_chosen(self, way: Way | None) -> None:
        step, now = self._step, self._step.held.way
        if way is None or way == now:
            return
        if way.mirrored != now.mirrored:
            self._restart_as(way)
            return
        self._planning.end()
        step.change(lambda: step.held.change_way(way.by, from_right=way.from_right))
        # If that could not be saved, the piece still needs the search just stopped.
        self._planning.begin()
        step.say(step.notice or way_choices.changed_to(now, step.held.way))

    def _restart_as(self, way: Way) -> None:
        held = self._step.held
        # A length that was chosen before the first step stays.
        own = held.copy.repeats == held.whole.main.design.repeats
        repeats, band_mm = None if own else held.copy.repeats, self._opening.options.band_mm
        options = WorkingOptions(way.by, repeats, way.from_right, way.mirrored, band_mm)
        try:
            self._step.bench.restart_as(self._opening, options)
        except TakenOver as taken:
            self._step.lost(taken)
        except StoreError as error:
            self._step.say(str(error))

    def length(self) -> None:
        """Asks how long the band is to be, and makes it longer or shorter."""
        step = self._step
        if step.blocked():
            return
        lengths = Lengths(step.held)
        try:
            band = BandLength(step.held, lengths, self._known_lengths, step.bench.settings.units)
        except StoreError as error:
            step.say(str(error))
            return
        step.ask(LengthScreen(step.bench, step.held, lengths, band), self._length_chosen)

    def _length_chosen(self, changed: UpdatedDesign | None) -> None:
        if changed is None:
            self._step.show()
        elif self.change_design(changed):
            words = Lengths(self._step.held)
            self._step.say(f"Now {words.words(words.now)}.")

    def change_design(self, changed: UpdatedDesign) -> bool:
        """Goes on with a changed design. False, with a notice, when that failed."""
        self._planning.end()
        made = self._step.change(lambda: self._step.held.change_design(*changed))
        # If that could not be saved, the piece still needs the search just stopped.
        self._planning.begin()
        return made

    def lost(self, error: StoreError) -> None:
        """Says that the piece can no longer be saved where it was, and offers to write it to a file of its own."""
        held, bench = self._step.held, self._step.bench
        self._step.notice = "NOT SAVED, NOT COUNTED."
        texts = [str(error)]
        answers: list[Answer[Callback]] = []
        if held.piece is not None:
            size = held.whole.size
            texts.append(f"Your piece is still here: {held.progress.done} of {size}.")
            answers.append(
                Answer(LEAVE, "write it to a new file, and leave", lambda: bench.leave_lost(rescued(held, error)))
            )
        # Whoever has just pressed q to leave may press it again.
        away = Answer("x", "leave without it", lambda: bench.leave_lost(error))
        answers.append(away if answers else away._replace(key=LEAVE, says="leave"))
        answers.append(Answer(CONTINUE, "continue to show it for now", self._step.show))
        self._step.ask(Question(bench, "NOT SAVED", texts, answers, escape=CONTINUE), act)

    def design_notice(self) -> str:
        """A notice about the design file; empty when it has not changed."""
        opening = self._opening
        return design_choices.notice(opening, self._step.key("design"))

    def design(self) -> None:
        """Reads the design file again, and asks what to do if it has changed."""
        step = self._step
        if step.blocked() or step.held.piece is None:
            return
        try:
            self._opening = opening = step.bench.check_design_file(step.held.piece)
        except StoreError as error:
            step.say(str(error))
            return
        if not opening.changed:
            step.say(self.design_notice() or design_choices.unchanged(opening))
            return
        does: dict[str, Callback] = {
            design_choices.KEEP: lambda: step.say(""),
            design_choices.CHANGED: self._continue_with_changed,
            design_choices.NEW: self._start_new,
        }
        keys = {design_choices.KEEP: CONTINUE, design_choices.CHANGED: "d", design_choices.NEW: NEW}
        answers = [
            Answer[Callback](keys[choice], says, does[choice])
            for choice, says in design_choices.choices(opening, step.held)
        ]
        step.ask(Question(step.bench, "CHANGED", [design_choices.question(opening)], answers, escape=CONTINUE), act)

    def _continue_with_changed(self) -> None:
        fresh = self._opening.updated
        assert fresh is not None
        if self.change_design(fresh):
            self._opening = self._opening._replace(changed=(), updated=None)

    def _start_new(self) -> None:
        way, options = self._step.held.way, self._opening.options
        options = WorkingOptions(way.by, options.repeats, way.from_right, way.mirrored, options.band_mm)
        try:
            self._step.bench.start_new(self._opening._replace(options=options))
        except StoreError as error:
            self._step.say(str(error))
