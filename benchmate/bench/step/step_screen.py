"""The step screen: one step in large type, and a press to go on."""

import time
from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.actions import ACTIONS
from benchmate.bench.screens.flood import FloodQuestion
from benchmate.bench.screens.jump import JumpScreen, target_of
from benchmate.bench.screens.keys import KeysScreen
from benchmate.bench.screens.out_of_turn import OtherScreen
from benchmate.bench.screens.question import Question
from benchmate.bench.screens.way_of_working import way_question
from benchmate.bench.screens.wrong_knot import WrongScreen
from benchmate.bench.step.pace_mode import BeatScreen
from benchmate.bench.step.view import view_of
from benchmate.bench.terminal.guard import Verdict
from benchmate.bench.zones.compose import compose
from benchmate.craft.progress import NotPossible
from benchmate.craft.prompts import Happened
from benchmate.display.cells import Line
from benchmate.families.registry import zone_of
from benchmate.piece_opening import Opening, Wish
from benchmate.store.database import StoreError
from benchmate.store.held import PRESSES
from benchmate.store.pieces import TakenOver

POLL = 1.0
"""Seconds between looks at what other windows do."""
MEANS = {"knot": "a knot", "run": "the rest of the run", "row": "the rest of the row"}
"""What one press means, in words."""


class BenchScreen(BeatScreen):
    """A piece at the bench. Every press is saved before it is shown."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(",".join(action.keys), action.name, action.says, id=action.name, priority=True) for action in ACTIONS
    ]

    def __init__(self, opening: Opening) -> None:
        """`opening` is a piece that is held, or looked on at."""
        super().__init__(opening.held)
        self._opening = opening

    def on_mount(self) -> None:
        """Says what there is to know about the piece, and begins to watch for other windows."""
        self.notice = self._first_notice() if self.held.holding else self._elsewhere
        self.plan()
        self.show()
        self.told(Happened.RESUMED)
        self.set_interval(POLL, self._poll)

    def _first_notice(self) -> str:
        opening = self._opening
        if opening.broken:
            return f"The design's file cannot be used now; going on with this piece's own copy. {opening.broken}"
        if opening.changed:
            key, what = self.key("design"), "; ".join(opening.changed)
            return f"Design file changed ({key}: choose): {what}. Going on with this piece's own copy."
        return ""

    @property
    def _elsewhere(self) -> str:
        return f"Open in another window: looking on. Press {self.key('take')} to take over here."

    def lines(self, width: int, height: int) -> list[Line]:
        """The bench as it is now, with the band beside it where there is room."""
        notice = " ".join(filter(None, (self.notice, self.how_far())))
        view = view_of(self.held, press=self.press, notice=notice, now=time.time(), beat=self.beat())
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

    def _change(
        self, change: Callable[[], None], happened: Happened = Happened.RESUMED, steps: Sequence[int] = ()
    ) -> bool:
        """Makes a change to the piece, shows it and says it; what could not be saved is said, and has not happened."""
        changed = False
        if not self.held.holding:
            self.notice = self._elsewhere
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
                self.plan()
                self.told(happened, steps)
        self.show()
        return changed

    def lost(self, taken: TakenOver) -> None:
        try:
            if self.held.piece is None:
                self.bench.second_window(taken.piece)
            else:
                self._look_on()
        except StoreError as error:
            self.notice = str(error)

    def _look_on(self) -> None:
        """Another window holds the piece now."""
        self.end_search()
        if self.beating:
            self.pause()
        self.bench.voice.hush()
        self.held.holding = False
        self.held.refresh()
        self.notice = self._elsewhere

    def _counts(self) -> bool:
        """Whether the press that is being acted on counts; a flood stops the bench with a question."""
        verdict = self.bench.verdict
        if verdict is Verdict.FLOOD:
            self.app.push_screen(FloodQuestion(self.bench.guard), self._after_flood)
        return verdict is Verdict.COUNTS

    def _after_flood(self, answer: str | None) -> None:
        if answer == "q":
            self.action_leave()

    def action_done(self) -> None:
        """The step is done, or, on the way to a wrong knot, the knot is out."""
        if self.beating:
            self.pause()
        elif self._counts() and not self.just_swapped and not self.just_paused:
            self._go_on()

    def _go_on(self) -> bool:
        number, comes_out = self.held.now()
        if number is None:
            return False
        if comes_out:
            return self._change(lambda: self._out(number), Happened.OUT, [number])
        steps = self.held.meant_by(self.press)
        return self._change(lambda: self.held.tie(steps), Happened.TIED, steps)

    def ready_to_beat(self) -> bool:
        """True when there is a step that goes by beats, and it can be counted here; what keeps it from that is said."""
        number = self.held.progress.next
        if self.held.holding and self.held.wrong is not None:
            self.say(f"Pace mode waits until the wrong knot is out. {self.key('keep')} leaves it as it is.")
        elif self._busy():
            return False
        elif number is None:
            self.say("All done.")
        elif not self._goes_by_beats(number):
            self.say(f"This step takes its own time: {self.key('done')} when it is done.")
        else:
            return True
        return False

    def _goes_by_beats(self, number: int) -> bool:
        """A knot does, but one that needs a new thread; of a step told in words, the further times of a counted one."""
        part, step = self.held.whole.part_of(number), self.held.whole.step(number)
        return not part.design.family.moments.takes_its_own_time(part.work, number - part.first, step)

    def on_beat(self) -> bool:
        """The step is done: its beat was let pass."""
        if not self._go_on():
            return False
        following = self.held.progress.next
        if following is not None and not self._goes_by_beats(following):
            self.pause("Paused: this step takes its own time.", f"{self.key('done')} when it is done.")
        return self.beating and following is not None

    def _out(self, number: int) -> None:
        self.held.untie(number)
        if self.held.wrong is None:
            self.notice = "ALL OUT. The next press ties again."

    def action_back(self) -> None:
        """The last step has come undone."""
        paused = self.beating
        if paused:
            self.pause()
        last = self.held.progress.last
        if not self._counts() or (paused and last is None):
            return
        undone = [] if last is None or self.held.wrong is not None else [last]
        if self._change(self._back, Happened.UNDONE if undone else Happened.RESUMED, undone) and paused:
            self.say(f"Paused, and the last one is taken back. {self.key('beat')} goes on.")

    def _back(self) -> None:
        led = self.held.wrong is not None
        self.held.back()
        if led and self.held.wrong is None:
            self.notice = "Nothing is marked wrong any more: the knot stays."

    def action_wrong(self) -> None:
        """Chooses the wrong knot, and is led back to it."""
        if self._busy():
            return
        if self.held.progress.done:
            self.app.push_screen(WrongScreen(self.held), self._marked)
        else:
            self.say("Nothing is tied yet.")

    def _busy(self) -> bool:
        """True, and it is said, when the piece is open elsewhere or on the way to a wrong knot."""
        if not self.held.holding:
            self.say(self._elsewhere)
        elif self.held.wrong is not None:
            self.say(f"{self.key('keep')}: leave the wrong knot as it is")
        return not self.held.holding or self.held.wrong is not None

    def _marked(self, answer: str | None) -> None:
        if answer is not None:
            self._change(lambda: self.held.mark_wrong(int(answer)))

    def action_keep(self) -> None:
        """The knot marked wrong stays as it is after all; or what is being looked for is not wanted any more."""
        if self.beating:
            self.pause()
        elif self.held.wrong is not None:
            self._change(self._keep)
        elif self.searching:
            self.end_search()
            self._change(self._stay_by_rows)

    def _stay_by_rows(self) -> None:
        self.held.change_way("rows", from_right=self.held.way.from_right)
        self.notice = f"No longer looking: by rows from here on. {self.key('way')} chooses again."

    def _keep(self) -> None:
        out = len(self.held.taken_out)
        self.held.forget_wrong()
        self.notice = f"The wrong knot stays; {out} came out on the way." if out else "The wrong knot stays."

    def action_jump(self) -> None:
        """Goes to any row or knot, after a look at what that means."""
        if not self._busy() and self.held.whole.size:
            self.app.push_screen(JumpScreen(self.held), self._jumped)

    def _jumped(self, answer: str | None) -> None:
        if answer is not None:
            self._change(lambda: self._jump_to(answer), Happened.JUMPED)

    def _jump_to(self, aim: str) -> None:
        target = target_of(self.held, aim)
        assert target is not None
        number = self.held.progress.next
        before = self.held.whole.size if number is None else self.held.order.place[number]
        self.held.jump_to(target)
        self.notice = f"Before the jump you were at knot {before + 1}."

    def action_press(self) -> None:
        """One press means a knot, the rest of the run, or the rest of the row."""
        self.bench.press = PRESSES[(PRESSES.index(self.bench.press) + 1) % len(PRESSES)]
        self.say(f"One press now: {MEANS[self.bench.press]}.")
        self.told(Happened.RESUMED)

    def action_way(self) -> None:
        """Asks for the way of working."""
        if self._busy():
            return
        if not self.held.whole.main.design.family.can_be_mirrored:
            self.say("There is one way to work this design.")
            return
        self.app.push_screen(way_question(self.held, may_mirror=self.held.piece is None), self._way_chosen)

    def _way_chosen(self, answer: str | None) -> None:
        way = self.held.way
        if answer == "m":
            wish = Wish(way.by, self._opening.wish.repeats, way.from_right, not way.mirrored)
            try:
                self.bench.begin_as(self._opening, wish)
            except StoreError as error:
                self.say(str(error))
            return
        chosen = {"s": ("segments", way.from_right), "r": ("rows", way.from_right), "h": (way.by, not way.from_right)}
        if answer in chosen:
            by, from_right = chosen[answer]
            self.end_search()
            self._change(lambda: self.held.change_way(by, from_right=from_right))
            # Where that could not be saved, what was being looked for is still wanted.
            self.plan()
            side = ", from the left" if answer == "h" and not self.held.way.from_right else ""
            self.say(self.notice or f"From here on {self.held.way.words}{side}.")

    def action_other(self) -> None:
        """Counts a knot that was tied out of turn."""
        if self._busy():
            return
        if self.held.progress.finished:
            self.say("All done.")
        else:
            self.app.push_screen(OtherScreen(self.held), self._tied_out_of_turn)

    def _tied_out_of_turn(self, answer: str | None) -> None:
        if answer is not None:
            self._change(lambda: self.held.tie([int(answer)]), Happened.TIED, [int(answer)])

    def action_design(self) -> None:
        """Looks at the design's file as it is now, and asks what to do when it has changed."""
        if self._busy() or self.held.piece is None:
            return
        try:
            self._opening = opening = self.bench.look_again(self.held.piece)
        except StoreError as error:
            self.say(str(error))
            return
        if not opening.changed:
            same = "The design's file has not changed since this piece was begun."
            gone = "The design's file is not there any more: going on with this piece's own copy."
            self.say(self._first_notice() or (same if opening.file else gone))
            return
        answers = [("k", "keep to this piece's own copy")]
        if opening.fresh is not None:
            answers.append(("g", "go on with the changed design: all that is tied is the same in it"))
        answers.append(("n", "begin a new piece on the changed design; this one stays as it is"))
        texts = [f"Since this piece was begun the file has changed: {'; '.join(opening.changed)}."]
        self.app.push_screen(Question("CHANGED", texts, answers, escape="k"), self._design_chosen)

    def _design_chosen(self, answer: str | None) -> None:
        fresh = self._opening.fresh
        if answer == "g" and fresh is not None:
            self.end_search()
            self._change(lambda: self.held.change_design(*fresh))
            self._opening = self._opening._replace(changed=(), fresh=None)
        elif answer == "n":
            way, wish = self.held.way, self._opening.wish
            wish = Wish(way.by, wish.repeats, way.from_right, way.mirrored)
            try:
                self.bench.begin_anew(self._opening._replace(wish=wish))
            except StoreError as error:
                self.say(str(error))
        elif answer == "k":
            self.notice = ""
            self.show()

    def action_light(self) -> None:
        """Dark or light."""
        self.bench.light = not self.bench.light
        self.say("")

    def action_keys(self) -> None:
        """Shows all keys."""
        self.app.push_screen(KeysScreen(), lambda _: self.show())

    def action_leave(self) -> None:
        """Leaves; everything is saved already."""
        self.bench.leave_piece()

    def action_take(self) -> None:
        """Takes the piece over from the window that holds it."""
        if self.held.holding:
            return
        try:
            self.held.hold(force=True)
            self.notice = "Taken over: this window goes on."
            self.plan()
            self.told(Happened.RESUMED)
        except StoreError as error:
            self.notice = str(error)
        self.show()

    def _poll(self) -> None:
        held = self.held
        if held.piece is None or not self.is_current:
            return
        try:
            if held.holding and not held.still_holds():
                self._look_on()
                self.show()
            elif not held.holding and held.refresh():
                self.show()
        except StoreError as error:
            self.notice = str(error)
            self.show()
