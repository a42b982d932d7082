"""The step screen: one step in large type, and a press to go on."""

import time
from collections.abc import Callable, Sequence
from typing import TypeVar

from benchmate.actions import shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.step.bench_voice import BenchVoice
from benchmate.bench.step.other_windows import OtherWindows
from benchmate.bench.step.pace_mode import PaceMode
from benchmate.bench.step.planning import Planned, Planning
from benchmate.bench.step.questions import Questions
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.step.view import view_of
from benchmate.bench.terminal.guard import Press, Verdict
from benchmate.bench.zones.compose import compose
from benchmate.craft.progress import NotPossible
from benchmate.craft.wording.prompts import Happened
from benchmate.display.cells import Line
from benchmate.families.registry import zone_of
from benchmate.piece_opening import OpenedPiece
from benchmate.store.database import StoreError
from benchmate.store.held import PRESSES
from benchmate.store.pieces import TakenOver

POLL = 1.0
"""Seconds between looks at what other windows do."""
MEANS = {"knot": "a knot", "run": "the rest of the run", "row": "the rest of the row"}
"""What one press means, in words."""
T = TypeVar("T")


class BenchScreen(LinesScreen[None]):
    """A piece at the bench. Every press is saved before it is shown."""

    def __init__(self, bench: Bench, voice: BenchVoice, opening: OpenedPiece) -> None:
        """`opening` is a piece that is held, or looked on at."""
        super().__init__(bench)
        self.held = opening.held
        self.notice = ""
        self.other_windows = OtherWindows(self)
        self.planning = Planning(self)
        self.spoken = SpokenStep(self, voice)
        self.pace_mode = PaceMode(self, self.spoken)
        self.questions = questions = Questions(self, opening, self.planning, self.spoken)
        self.does: dict[str, Callable[[Press], None]] = {
            "done": self._done,
            "back": self._back,
            "wrong": _whatever(questions.wrong),
            "voice": _whatever(self.spoken.switch),
            "again": _whatever(self.spoken.again),
            "sound": _whatever(questions.sound),
            "beat": _whatever(self.pace_mode.switch),
            "faster": _whatever(self.pace_mode.faster),
            "slower": _whatever(self.pace_mode.slower),
            "jump": _whatever(questions.jump),
            "press": _whatever(self._change_press),
            "way": _whatever(questions.way),
            "other": _whatever(questions.other),
            "design": _whatever(questions.design),
            "keep": _whatever(self._keep),
            "take": _whatever(self.other_windows.take_over),
            "light": _whatever(self._change_light),
            "keys": _whatever(questions.keys),
            "leave": _whatever(bench.leave_piece),
        }
        """What each action of the settings does with the press that asks for it."""

    def on_mount(self) -> None:
        """Says what there is to know about the piece, and begins to watch for other windows."""
        known = self.questions.design_notice() if self.held.holding else self.other_windows.elsewhere
        self.planning.begin()
        self.notice = " ".join(filter(None, (known, self.notice)))
        self.show()
        self.spoken.told(Happened.RESUMED)
        self.set_interval(POLL, self.other_windows.look)

    def take(self, press: Press) -> bool:
        """Does what the key is for: at once, so that the next key finds the screen that comes of it."""
        action = next((name for name, keys in self.bench.settings.keys.items() if press.key in keys), None)
        if action is None:
            return False
        self.does[action](press)
        return True

    # What is shown.

    def lines(self, width: int, height: int) -> list[Line]:
        """The bench as it is now, with the band beside it where there is room."""
        notice = " ".join(filter(None, (self.notice, self.planning.how_far)))
        view = view_of(self.held, press=self.press, notice=notice, now=time.time(), beat=self.pace_mode.beat())
        beside = self._picture(view.number, width, height)
        keys = (("keys", "keys"), ("wrong", "wrong"), ("leave", "leave"))
        hint = "  ".join(f"{self.key(action)} {says}" for action, says in keys)
        return compose(view, width, height, self.palette, beside, hint)

    def _picture(self, number: int | None, width: int, height: int) -> list[Line] | None:
        """The band so far, or the disk, where there is room for it beside the rest."""
        held, part = self.held, self.held.whole.main
        zone = zone_of(part.design.family)
        if height <= 4 or zone is None:
            return None
        wide = zone.width_beside(part, width, height - 1)
        if not wide:
            return None
        undone = held.wrong is not None
        return zone.draw(part, held.progress, number, wide, height - 1, self.palette, undone=undone)

    def say(self, notice: str) -> None:
        """Shows a notice."""
        self.notice = notice
        self.show()

    def key(self, action: str) -> str:
        """The first of the keys an action has now, as a person calls it."""
        return next(map(shown_key, self.bench.settings.keys[action]), "no key")

    @property
    def press(self) -> str:
        """What one press means now; a beat is for one knot."""
        return "knot" if self.pace_mode.beating else self.bench.press

    # Changes to the piece.

    def change(
        self, change: Callable[[], None], happened: Happened = Happened.RESUMED, steps: Sequence[int] = ()
    ) -> bool:
        """Makes a change to the piece, shows it and says it; what could not be saved is said, and has not happened."""
        changed = False
        if not self.held.holding:
            self.notice = self.other_windows.elsewhere
        else:
            self.notice = ""
            try:
                change()
            except TakenOver as taken:
                self.lost(taken)
            except NotPossible:
                self.notice = "That is not possible as the knots are now."
            except StoreError as error:
                self.notice = f"NOT SAVED, NOT COUNTED. {error}"
            else:
                changed = True
                self.planning.begin()
                self.spoken.told(happened, steps)
        self.show()
        return changed

    def busy(self) -> bool:
        """True, and it is said, when the piece is open elsewhere or on the way to a wrong knot."""
        if not self.held.holding:
            self.say(self.other_windows.elsewhere)
        elif self.held.wrong is not None:
            self.say(f"{self.key('keep')}: leave the wrong knot as it is")
        return not self.held.holding or self.held.wrong is not None

    def _counts(self, press: Press) -> bool:
        """Whether a press counts; a flood stops the bench with a question."""
        if press.verdict is Verdict.FLOOD:
            self.questions.flood()
        return press.verdict is Verdict.COUNTS

    def _done(self, press: Press) -> None:
        """The step is done, or, on the way to a wrong knot, the knot is out."""
        if self.pace_mode.beating:
            self.pace_mode.pause()
        elif self._counts(press) and not self.planning.just_swapped and not self.pace_mode.just_paused:
            self.go_on()

    def go_on(self) -> bool:
        """One press, or one beat: the step is done. False when nothing is left to do, or it could not be counted."""
        held = self.held
        number, comes_out = held.now()
        if number is None:
            return False
        steps = [number] if comes_out else held.meant_by(self.press)

        def done() -> None:
            held.go_on(self.press)
            if comes_out and held.wrong is None:
                self.notice = "ALL OUT. The next press ties again."

        return self.change(done, Happened.OUT if comes_out else Happened.TIED, steps)

    def _back(self, press: Press) -> None:
        """The last step has come undone."""
        paused = self.pace_mode.beating
        if paused:
            self.pace_mode.pause()
        last = self.held.progress.last
        if not self._counts(press) or (paused and last is None):
            return
        undone = [] if last is None or self.held.wrong is not None else [last]
        if self.change(self._undo, Happened.UNDONE if undone else Happened.RESUMED, undone) and paused:
            self.say(f"Paused, and the last one is taken back. {self.key('beat')} goes on.")

    def _undo(self) -> None:
        led = self.held.wrong is not None
        self.held.back()
        if led and self.held.wrong is None:
            self.notice = "Nothing is marked wrong any more: the knot stays."

    def _keep(self) -> None:
        """The knot marked wrong stays as it is after all; or what is being looked for is not wanted any more."""
        if self.pace_mode.beating:
            self.pace_mode.pause()
        elif self.held.wrong is not None:
            self.change(self._keep_wrong)
        elif self.planning.searching:
            self.planning.end()
            self.change(self._stay_by_rows)

    def _keep_wrong(self) -> None:
        out = len(self.held.taken_out)
        self.held.forget_wrong()
        self.notice = f"The wrong knot stays; {out} came out on the way." if out else "The wrong knot stays."

    def _stay_by_rows(self) -> None:
        self.held.change_way("rows", from_right=self.held.way.from_right)
        self.notice = f"No longer looking: by rows from here on. {self.key('way')} chooses again."

    # What is chosen for now.

    def _change_press(self) -> None:
        """One press means a knot, the rest of the run, or the rest of the row."""
        self.bench.press = PRESSES[(PRESSES.index(self.bench.press) + 1) % len(PRESSES)]
        self.say(f"One press now: {MEANS[self.bench.press]}.")
        self.spoken.told(Happened.RESUMED)

    def _change_light(self) -> None:
        """Dark or light."""
        self.bench.light = not self.bench.light
        self.say("")

    # Searches beside the screen.

    def reordered(self) -> None:
        """Another step may have taken this one's place: its beat begins anew, and it is said."""
        self.pace_mode.begin_beat()
        self.spoken.told(Happened.RESUMED)

    def beside(self, errand: Callable[[], None]) -> None:
        """Does something in a thread of its own."""
        self.run_worker(errand, thread=True)

    def on_planned(self, message: Planned) -> None:
        """A search has come to its end."""
        self.planning.take_in(message)

    # Other screens over this one.

    def ask(self, screen: LinesScreen[T], answered: Callable[[T | None], None]) -> None:
        """Lays another screen over this one, until it hands back a value."""
        self.app.push_screen(screen, answered)

    @property
    def in_front(self) -> bool:
        """True while no other screen lies over this one."""
        return self.app.screen is self

    def on_screen_suspend(self) -> None:
        """Another screen lies over the bench: nothing can pass unseen."""
        if self.pace_mode.beating:
            self.pace_mode.pause()

    def on_screen_resume(self) -> None:
        """Sees to what happened meanwhile."""
        self.planning.in_front_again()

    def on_unmount(self) -> None:
        """Nothing goes on in the background."""
        self.planning.end()

    # Other windows.

    def lost(self, taken: TakenOver) -> None:
        """Another window has gone on with the piece."""
        self.other_windows.lost(taken)

    def take_up(self) -> None:
        """The piece is worked on here from now on."""
        self.planning.begin()
        self.spoken.told(Happened.RESUMED)

    def lay_down(self) -> None:
        """The piece is not worked on here any more: nothing goes on by itself."""
        self.planning.end()
        if self.pace_mode.beating:
            self.pace_mode.pause()
        self.spoken.voice.hush()


def _whatever(action: Callable[[], None]) -> Callable[[Press], None]:
    """What is done whatever the guard makes of the press."""
    return lambda _: action()
