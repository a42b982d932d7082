"""The step screen: one step in large type, and a press counts it as done."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from benchmate.actions import shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.step.laying_out import LayingOut
from benchmate.bench.step.offers import Offers
from benchmate.bench.step.other_windows import OtherWindows
from benchmate.bench.step.pace_mode import PaceMode
from benchmate.bench.step.planning import Planned, Planning
from benchmate.bench.step.questions import Questions
from benchmate.bench.step.quiet_lines import QuietLine
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.step.view import picture_beside, view_of
from benchmate.bench.terminal.guard import Press, Verdict
from benchmate.bench.zones.compose import compose
from benchmate.craft.progress import NotPossible
from benchmate.craft.wording.prompts import Beside, Happened
from benchmate.display.cells import Line
from benchmate.piece_exchange import LOST
from benchmate.piece_opening import OpenedPiece
from benchmate.piece_questions.trouble import known_mistakes
from benchmate.piece_voice import PieceVoice
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import MEANS, PRESSES
from benchmate.store.pieces import TakenOver

POLL = 1.0
"""Seconds between checks for other windows."""
READ_ONLY, NOT_SAVED = "read-only", "not saved, not counted"
"""Why a press changed nothing, by ear."""
T = TypeVar("T")


class StepScreen(LinesScreen[None]):
    """One piece, step by step. Every press is saved before it is shown."""

    repeats = frozenset[str]()

    def __init__(self, bench: Bench, voice: PieceVoice, opening: OpenedPiece) -> None:
        """`opening` is a piece that is held here, or read-only."""
        super().__init__(bench)
        self.held = opening.held
        self.notice = ""
        self.says = Beside()
        """What a change has to say by ear beside the step."""
        self.told = ""
        """The instruction in words, while it is shown alone."""
        self.other_windows = OtherWindows(self)
        self.planning = Planning(self)
        self.spoken = SpokenStep(self, voice)
        self.quiet_line = QuietLine(self, self.spoken, opening.kept.pieces)
        self.pace_mode = PaceMode(self, self.spoken, self.quiet_line)
        self.laying_out = LayingOut(self, self.spoken, unasked=opening.lays_out)
        self.questions = questions = Questions(self, opening, self.planning, self.spoken)
        self.offers = Offers(self, questions)
        self.does: dict[str, Callable[[Press], None]] = {
            "done": self._done,
            "back": self._back,
            "lay_out": _once(self.laying_out.open),
            "wrong": _once(questions.wrong_knot),
            "voice": _once(self.spoken.switch),
            "again": _once(self.spoken.again),
            "sound": _once(questions.voice_settings),
            "beat": _once(self.pace_mode.switch),
            "faster": lambda _: self.pace_mode.faster(),
            "slower": lambda _: self.pace_mode.slower(),
            "jump": _once(questions.jump),
            "press": _once(self._change_press),
            "length": _once(questions.length),
            "way": _once(questions.way),
            "other": _once(questions.out_of_turn),
            "design": _once(questions.design),
            "keep": _once(self._keep),
            "take": _once(self.other_windows.take_over),
            "light": _once(self._change_light),
            "keys": _once(questions.keys),
            "leave": _once(self.leave),
        }
        """What each action in the settings does with its press."""

    def on_mount(self) -> None:
        """Shows notices about the piece, and starts to watch for other windows."""
        known = self.questions.design_notice() if self.held.holding else self.other_windows.elsewhere
        self.planning.begin()
        self.notice = " ".join(filter(None, (known, self.notice)))
        self.show()
        laid_out = self.laying_out.open_unasked()
        self.call_after_refresh(self.quiet_line.first_shown, say=not laid_out)
        self.set_interval(POLL, self.other_windows.check)

    def take_press(self, press: Press) -> bool:
        """Does what the key is for, at once, so that the next key finds the screen it opened."""
        action = next((name for name, keys in self.bench.settings.keys.items() if press.key in keys), None)
        return self._take(action, press)

    def take_tap(self, press: Press) -> None:
        """Does for a tap on the table what a key for `done` does."""
        self._take("done", press)

    def _take(self, action: str | None, press: Press) -> bool:
        told, self.told = self.told, ""
        if action is None:
            taken = self.offers.take(press)
        elif told and action == "again":
            # It has been read; whoever listens hears it again.
            self.spoken.aloud()
            taken = True
        else:
            self.does[action](press)
            taken = True
        if told:
            self.show()
        return taken

    # What is shown.

    def lines(self, width: int, height: int) -> list[Line]:
        """The step as it is now, with the band beside it where there is room."""
        notice = " ".join(filter(None, (self.notice, self.planning.progress_text)))
        view = view_of(
            self.held,
            press=self.press,
            counted=self.spoken.steps_of_press(),
            notice=notice,
            quiet=self.quiet_line.shown(),
            beat=self.pace_mode.beat(),
            depth=self.depth,
        )
        view, offered = self.laying_out.offered(view._replace(told=self.told, compare=bool(self.says.then)), height)
        beside = picture_beside(self.held, view.number, width, height, self.palette, self.depth)
        if self.offers.here:
            return self.offers.lines(view, width, height, self.palette, beside)
        keys = (("keys", "keys"), ("wrong", "wrong"), *offered, ("leave", "leave"))
        hint = "  ".join(f"{self.key(action)} {says}" for action, says in keys)
        return compose(view, width, height, self.palette, beside, hint)

    def say(self, notice: str) -> None:
        """Shows a notice."""
        self.notice = notice
        self.show()

    def tell(self, words: str) -> None:
        """Shows the instruction in words, alone on the screen, until the next press."""
        self.notice, self.told = "", words
        self.show()

    def key(self, action: str) -> str:
        """The first of the keys an action has now, as a person calls it."""
        return next(map(shown_key, self.bench.settings.keys[action]), "no key")

    @property
    def press(self) -> str:
        """What one press counts now; in pace mode always one knot."""
        return "knot" if self.pace_mode.running else self.bench.press

    # Changes to the piece.

    def change(
        self, change: Callable[[], None], happened: Happened = Happened.RESUMED, steps: Sequence[int] = ()
    ) -> bool:
        """Changes the piece, shows it and says it. False, with a notice, when it failed or could not be saved."""
        changed, why = False, READ_ONLY
        self.told = ""
        if not self.held.holding:
            self.notice = self.other_windows.elsewhere
        else:
            self.notice, self.says = "", Beside()
            try:
                change()
            except TakenOver as taken:
                self.lost(taken)
            except NotPossible:
                self.notice, why = "Can't do that now: other knots first.", "not possible now"
            except LOST as error:
                self.cannot_save(error)
                self.spoken.refused(NOT_SAVED, goes_on=False)
                return False
            except StoreError as error:
                self.notice, why = f"NOT SAVED, NOT COUNTED. {error}", NOT_SAVED
            else:
                changed = True
                self.planning.begin()
                quiet = self.quiet_line.pressed(paced=self.pace_mode.running)
                if not self.laying_out.open_unasked():
                    self.spoken.say_step(happened, steps, self.says.and_also(quiet))
        self.show()
        # Another window may have begun the piece, which is then open here by now.
        if not changed and self.bench.open_piece is self.held:
            self.spoken.refused(why)
        return changed

    def refuse(self, notice: str, why: str) -> None:
        """Shows why a press changed nothing, and says it."""
        self.say(notice)
        self.spoken.refused(why)

    def cannot_save(self, error: StoreError) -> None:
        """Stops counting: the piece can no longer be saved where it was."""
        self.other_windows.told = True
        self.planning.end()
        if self.pace_mode.running:
            self.pace_mode.pause()
        self.questions.lost(error)
        self.spoken.voice.hush()

    def leave(self) -> None:
        """Leaves, unless what is on the screen would be lost with it."""
        try:
            self.held.check_saved()
        except LOST as error:
            self.cannot_save(error)
        else:
            self.bench.leave_piece()

    def blocked(self) -> bool:
        """True, with a notice that says why, when the piece is read-only or a wrong knot is being undone."""
        if not self.held.holding:
            self.refuse(self.other_windows.elsewhere, READ_ONLY)
        elif self.held.wrong is not None:
            self.refuse(f"Undo the knot first; {self.key('keep')} keeps it.", "not possible now")
        return not self.held.holding or self.held.wrong is not None

    def _counts(self, press: Press) -> bool:
        """Whether a press counts; a flood stops the bench with a question."""
        if press.verdict is Verdict.FLOOD:
            self.questions.flood()
        return press.verdict is Verdict.COUNTS

    def _done(self, press: Press) -> None:
        """Counts the step as done or, on the way to a wrong knot, as undone."""
        if self.pace_mode.running:
            self.pace_mode.pause()
        elif not self._counts(press) or self.pace_mode.just_paused:
            return
        elif self.planning.just_reordered:
            self.spoken.refused("not counted")
        elif not self.offers.here:
            self.count_step()
        elif not self.offers.go_on():
            self.spoken.refused("")

    def count_step(self) -> bool:
        """Counts the step for one press or one beat. False when nothing is left, or it could not be saved."""
        held = self.held
        number, comes_out = held.current_step()
        if number is None:
            return False
        steps = [number] if comes_out else self.spoken.steps_of_press()

        def done() -> None:
            if not comes_out:
                held.tie(steps)
                return
            self.says = Beside(known_mistakes.dropped_with(held, steps))
            held.untie(steps[0])
            if held.wrong is None:
                self.says = known_mistakes.once_out(held, f"{self.key('wrong')}, s").and_also(self.says)
            self.notice = self.says.to_read("ALL UNDONE. The next press ties again." if held.wrong is None else "")

        return self.change(done, Happened.OUT if comes_out else Happened.TIED, steps)

    def count_rows(self, rows: int) -> None:
        """Counts the first rows of a new piece as tied, because a lesson has made them."""
        band = self.held.whole.main
        tied = range(band.first + band.work.span(rows).end)
        if self.change(lambda: self.held.jump_to(tied), Happened.JUMPED):
            made = f"The first {rows} rows are those you made in the lesson."
            self.say(f"{made} Undid them? Press {self.key('jump')}, 1, enter.")

    def _back(self, press: Press) -> None:
        """Undoes the last step."""
        paused = self.pace_mode.running
        if paused:
            self.pace_mode.pause()
        last = self.held.progress.last
        if not self._counts(press) or (paused and last is None):
            return
        if last is None and self.held.wrong is None and self.held.holding:
            self.refuse("Nothing is tied yet.", "nothing to undo")
            return
        undone = [] if last is None or self.held.wrong is not None else [last]
        if self.change(self._undo, Happened.UNDONE if undone else Happened.RESUMED, undone) and paused:
            self.say(f"Paused; last step undone. {self.key('beat')} continues.")

    def _undo(self) -> None:
        led, last = self.held.wrong is not None, self.held.progress.last
        forgotten = "" if led or last is None else known_mistakes.forgotten_words(self.held, [last])
        self.held.back()
        self.notice = forgotten
        if led and self.held.wrong is None:
            self.notice = "Mark removed; the knot stays."

    def _keep(self) -> None:
        """Keeps the wrong knot, or cancels the search."""
        if self.pace_mode.running:
            self.pace_mode.pause()
        elif self.held.wrong is not None:
            self.change(self._keep_wrong)
        elif self.planning.searching:
            self.planning.end()
            self.change(self._stay_by_rows)

    def _keep_wrong(self) -> None:
        out = len(self.held.taken_out)
        self.held.unmark_wrong()
        self.notice = f"The wrong knot stays; {out} undone." if out else "The wrong knot stays."

    def _stay_by_rows(self) -> None:
        self.held.change_way("rows", from_right=self.held.way.from_right)
        self.notice = f"Search stopped; working by rows. Press {self.key('way')} to choose again."

    # Choices for this session.

    def _change_press(self) -> None:
        """Changes what one press counts: a knot, the rest of the run, or the rest of the row."""
        self.bench.press = PRESSES[(PRESSES.index(self.bench.press) + 1) % len(PRESSES)]
        most = ", as much as one instruction says" if self.spoken.voice.on and self.bench.press != "knot" else ""
        self.say(f"One press now: {MEANS[self.bench.press]}{most}.")
        self.spoken.say_step(Happened.RESUMED)

    def _change_light(self) -> None:
        """Changes between dark and light."""
        self.bench.light = not self.bench.light
        self.say("")

    # Searches in the background.

    def order_changed(self) -> None:
        """Restarts the timer and says the step, as another one may come next."""
        self.told = ""
        self.pace_mode.begin_beat()
        self.spoken.say_step(Happened.RESUMED)

    def run_in_thread(self, job: Callable[[], None]) -> None:
        """Runs `job` in its own thread."""
        self.run_worker(job, thread=True)

    def on_planned(self, message: Planned) -> None:
        """Takes in the result of a search."""
        self.planning.take_in(message)

    # Other screens over this one.

    def ask(self, screen: LinesScreen[T], answered: Callable[[T | None], None]) -> None:
        """Opens a screen over this one; `answered` gets its result."""

        def closed(result: T | None) -> None:
            said = self.spoken.said
            answered(result)
            # Whoever listens heard about the other screen last.
            if screen.speaks and self.in_front and self.spoken.said == said:
                self.spoken.say_step(Happened.RESUMED)

        self.app.push_screen(screen, closed)

    @property
    def in_front(self) -> bool:
        """True while no other screen covers this one."""
        return self.app.screen is self

    def on_screen_suspend(self) -> None:
        """Pauses the timer when another screen covers this one, so that no knot counts unseen."""
        if self.pace_mode.running:
            self.pace_mode.pause()

    def on_screen_resume(self) -> None:
        """Takes in what a search found while another screen was open."""
        self.planning.back_in_front()

    def on_unmount(self) -> None:
        """Stops the search in the background."""
        self.planning.end()

    # Other windows.

    def lost(self, taken: TakenOver) -> None:
        """Handles that another window took the piece over."""
        self.other_windows.lost(taken)

    def start_working(self) -> None:
        """Works on the piece here, after it was taken over from another window."""
        self.planning.begin()
        self.spoken.say_step(Happened.RESUMED)

    def stop_working(self) -> None:
        """Stops search, timer and voice, after another window took the piece over."""
        self.planning.end()
        if self.pace_mode.running:
            self.pace_mode.pause()
        self.spoken.voice.hush()


def _once(action: Callable[[], None]) -> Callable[[Press], None]:
    """Runs the action for a press, but not for the repeats of a key that is held down."""
    return lambda press: action() if press.verdict is Verdict.COUNTS else None
