"""What the step screen asks, each question on a screen of its own, and what comes of the answers."""

from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.flood import FloodQuestion
from benchmate.bench.screens.jump import JumpScreen
from benchmate.bench.screens.keys import KeysScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.out_of_turn import OtherScreen
from benchmate.bench.screens.question import Answer, Deed, Question, act
from benchmate.bench.screens.voice_settings import SoundScreen
from benchmate.bench.screens.way_of_working import way_question
from benchmate.bench.screens.wrong_knot import WrongScreen
from benchmate.bench.step.planning import Planning
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.craft.ways import Way
from benchmate.craft.wording.prompts import Happened
from benchmate.piece_opening import OpenedPiece, WorkingOptions
from benchmate.store.database import StoreError
from benchmate.store.held import Held

T = TypeVar("T")


class Asks(Protocol):
    """The screen with the piece that is asked about."""

    notice: str

    @property
    def bench(self) -> Bench:
        """The app."""

    @property
    def held(self) -> Held:
        """The piece."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def say(self, notice: str) -> None:
        """Shows a notice."""

    def show(self) -> None:
        """Shows what there is to do now."""

    def busy(self) -> bool:
        """True, and it is said, when the piece is open elsewhere or on the way to a wrong knot."""

    def change(
        self, change: Callable[[], None], happened: Happened = Happened.RESUMED, steps: Sequence[int] = ()
    ) -> bool:
        """Makes a change to the piece, shows it and says it; False when it has not happened, which is said too."""

    def ask(self, screen: LinesScreen[T], answered: Callable[[T | None], None]) -> None:
        """Lays another screen over this one, until it hands back a value."""


class Questions:
    """Asks, and does what was answered."""

    def __init__(self, step: Asks, opening: OpenedPiece, planning: Planning, spoken: SpokenStep) -> None:
        """`opening` is the piece as it was opened, with what is known of its design's file."""
        self._step = step
        self._opening = opening
        self._planning = planning
        self._spoken = spoken

    def flood(self) -> None:
        """Stops the bench after more presses than hands can make."""
        self._step.ask(FloodQuestion(self._step.bench), self._after_flood)

    def _after_flood(self, go_on: bool | None) -> None:
        if go_on is False:
            self._step.bench.leave_piece()

    def keys(self) -> None:
        """Shows all keys."""
        self._step.ask(KeysScreen(self._step.bench), lambda _: self._step.show())

    def sound(self) -> None:
        """Chooses how the voice sounds, and how much it says."""
        screen = SoundScreen(self._step.bench, self._step.held, self._spoken.voice)
        self._step.ask(screen, lambda _: self._sound_chosen())

    def _sound_chosen(self) -> None:
        self._spoken.told(Happened.RESUMED)
        self._step.show()

    def wrong(self) -> None:
        """Chooses the wrong knot, and is led back to it."""
        step = self._step
        if step.busy():
            return
        if step.held.progress.done:
            step.ask(WrongScreen(step.bench, step.held), self._marked)
        else:
            step.say("Nothing is tied yet.")

    def _marked(self, number: int | None) -> None:
        if number is not None:
            self._step.change(lambda: self._step.held.mark_wrong(number))

    def jump(self) -> None:
        """Goes to any row or knot, after a look at what that means."""
        step = self._step
        if not step.busy() and step.held.whole.size:
            step.ask(JumpScreen(step.bench, step.held), self._jumped)

    def _jumped(self, target: Sequence[int] | None) -> None:
        if target is not None:
            self._step.change(lambda: self._jump_to(target), Happened.JUMPED)

    def _jump_to(self, target: Sequence[int]) -> None:
        held = self._step.held
        number = held.progress.next
        before = held.whole.size if number is None else held.order.place[number]
        held.jump_to(target)
        self._step.notice = f"Before the jump you were at knot {before + 1}."

    def other(self) -> None:
        """Counts a knot that was tied out of turn."""
        step = self._step
        if step.busy():
            return
        if step.held.progress.finished:
            step.say("All done.")
        else:
            step.ask(OtherScreen(step.bench, step.held), self._tied_out_of_turn)

    def _tied_out_of_turn(self, number: int | None) -> None:
        if number is not None:
            self._step.change(lambda: self._step.held.tie([number]), Happened.TIED, [number])

    def way(self) -> None:
        """Asks for the way of working."""
        step = self._step
        if step.busy():
            return
        if not step.held.whole.main.design.family.can_be_mirrored:
            step.say("There is one way to work this design.")
            return
        step.ask(way_question(step.bench, step.held, may_mirror=step.held.piece is None), self._way_chosen)

    def _way_chosen(self, way: Way | None) -> None:
        step, now = self._step, self._step.held.way
        if way is None or way == now:
            return
        if way.mirrored != now.mirrored:
            self._begin_as(way)
            return
        self._planning.end()
        step.change(lambda: step.held.change_way(way.by, from_right=way.from_right))
        # Where that could not be saved, what was being looked for is still wanted.
        self._planning.begin()
        side = ", from the left" if now.from_right and not step.held.way.from_right else ""
        step.say(step.notice or f"From here on {step.held.way.words}{side}.")

    def _begin_as(self, way: Way) -> None:
        options = WorkingOptions(way.by, self._opening.options.repeats, way.from_right, way.mirrored)
        try:
            self._step.bench.begin_as(self._opening, options)
        except StoreError as error:
            self._step.say(str(error))

    def design_notice(self) -> str:
        """What there is to know about the design's file; empty when it has not changed."""
        opening = self._opening
        if opening.broken:
            return f"The design's file cannot be used now; going on with this piece's own copy. {opening.broken}"
        if opening.changed:
            key, what = self._step.key("design"), "; ".join(opening.changed)
            return f"Design file changed ({key}: choose): {what}. Going on with this piece's own copy."
        return ""

    def design(self) -> None:
        """Looks at the design's file as it is now, and asks what to do when it has changed."""
        step = self._step
        if step.busy() or step.held.piece is None:
            return
        try:
            self._opening = opening = step.bench.look_again(step.held.piece)
        except StoreError as error:
            step.say(str(error))
            return
        if not opening.changed:
            same = "The design's file has not changed since this piece was begun."
            gone = "The design's file is not there any more: going on with this piece's own copy."
            step.say(self.design_notice() or (same if opening.file else gone))
            return
        answers: list[Answer[Deed]] = [Answer("k", "keep to this piece's own copy", lambda: step.say(""))]
        if opening.updated is not None:
            says = "go on with the changed design: all that is tied is the same in it"
            answers.append(Answer("g", says, self._go_on_with_changed))
        says = "begin a new piece on the changed design; this one stays as it is"
        answers.append(Answer("n", says, self._begin_anew))
        texts = [f"Since this piece was begun the file has changed: {'; '.join(opening.changed)}."]
        step.ask(Question(step.bench, "CHANGED", texts, answers, escape="k"), act)

    def _go_on_with_changed(self) -> None:
        fresh = self._opening.updated
        assert fresh is not None
        self._planning.end()
        self._step.change(lambda: self._step.held.change_design(*fresh))
        self._opening = self._opening._replace(changed=(), updated=None)

    def _begin_anew(self) -> None:
        way, options = self._step.held.way, self._opening.options
        options = WorkingOptions(way.by, options.repeats, way.from_right, way.mirrored)
        try:
            self._step.bench.begin_anew(self._opening._replace(options=options))
        except StoreError as error:
            self._step.say(str(error))
