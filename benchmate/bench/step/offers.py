"""What the step screen offers once every step is done: going on, a finish, a picture, the next lesson."""

from collections.abc import Callable

from benchmate.bench.screens.ending.all_done import AllDone, Offer, all_done
from benchmate.bench.screens.ending.band_picture import PictureScreen
from benchmate.bench.screens.ending.finish import FinishScreen
from benchmate.bench.screens.ending.left_over_questions import BoxQuestion, LeftOverQuestions
from benchmate.bench.step.questions import Asks, Questions
from benchmate.bench.terminal.guard import Press, Verdict
from benchmate.bench.zones.view_values import View
from benchmate.craft.drawing import Layout
from benchmate.craft.start_band_finish import WholePiece
from benchmate.design_files.shelf import Following, following, next_lesson
from benchmate.display.cells import Line
from benchmate.display.palette import Palette
from benchmate.files.tree import BadFile
from benchmate.piece_opening import UpdatedDesign
from benchmate.piece_questions import after_the_end
from benchmate.piece_questions.band_pictures import layout_of
from benchmate.piece_questions.thread import thread_at_the_end
from benchmate.piece_questions.thread.thread_at_the_end import ThreadAtTheEnd
from benchmate.piece_questions.trouble.known_mistakes import left_at_the_end
from benchmate.store.errors import StoreError

FINISH, BAND, LESSON, THREAD, BOX = "f", "b", "n", "a", "x"
"""The keys of what is offered, unless the settings give them to an action."""

WITH_OWN_KEY = (after_the_end.ONWARD, after_the_end.LENGTH)
"""What is offered with the key of an action."""


class Offers:
    """The step screen while every step is done."""

    def __init__(self, step: Asks, questions: Questions) -> None:
        self._step = step
        self._questions = questions
        self._drawn: tuple[WholePiece, Layout | None] | None = None
        self._thread: tuple[WholePiece, ThreadAtTheEnd] | None = None

    @property
    def here(self) -> bool:
        """True while every step is done, and there was one."""
        held = self._step.held
        return held.progress.finished and held.wrong is None and held.whole.size > 0

    def take(self, press: Press) -> bool:
        """Does what a key stands for here; False for any other key. A key held down does it once."""
        offer = next((offer for offer in self._offers() if offer.key == press.key), None)
        if offer is None or not self.here:
            return False
        if press.verdict is Verdict.COUNTS:
            offer.act()
        return True

    def lines(self, view: View, width: int, height: int, palette: Palette, band: list[Line] | None) -> list[Line]:
        """The screen."""
        step, held = self._step, self._step.held
        texts = after_the_end.what_it_took(held), left_at_the_end(held, f"{step.key('wrong')}, k"), view.note
        keys = [
            f"{step.key(action)}: {says}"
            for action, says in (("leave", "leave"), ("keys", "all keys"), ("back", "undo the last step"))
        ]
        offers = self._offers()
        shown = AllDone(
            title=view.title,
            done=f"{view.done}/{view.of}",
            word=view.word,
            texts=[text for text in texts if text],
            notice=view.notice or self._of_thread.trouble,
            offers=offers,
            keys=keys,
        )
        return all_done(shown, width, height, palette, band)

    def _offers(self) -> list[Offer]:
        """What is possible now; with keys that no action has, but for the first."""
        step, held = self._step, self._step.held
        does = {
            after_the_end.ONWARD: (step.key("done"), self.go_on),
            after_the_end.NEXT_LESSON: (LESSON, self._next_lesson),
            after_the_end.LENGTH: (step.key("length"), self._questions.length),
            after_the_end.FINISH: (FINISH, self._add_finish),
            after_the_end.PICTURE: (BAND, self._show_band),
            thread_at_the_end.LEFT_OVER: (THREAD, self._ask_left_over),
            thread_at_the_end.TAKE_BACK: (THREAD, lambda: self._do(self._of_thread.take_back)),
            thread_at_the_end.BOX: (BOX, self._ask_about_box),
            thread_at_the_end.BOX_BACK: (BOX, lambda: self._do(self._of_thread.undo_booking)),
        }
        taken = {key for keys in step.bench.settings.keys.values() for key in keys}
        return [
            Offer(key, says, act)
            for offered, says in after_the_end.offers(
                held, drawable=self._layout is not None, thread=self._of_thread.offers()
            )
            for key, act in (does[offered],)
            if key not in taken or offered in WITH_OWN_KEY
        ]

    @property
    def _layout(self) -> Layout | None:
        """The drawing of the band, made once for each design it goes on with."""
        whole = self._step.held.whole
        if self._drawn is None or self._drawn[0] is not whole:
            self._drawn = whole, layout_of(self._step.held)
        return self._drawn[1]

    @property
    def _of_thread(self) -> ThreadAtTheEnd:
        """What can be asked about the thread, begun once for each design it goes on with."""
        whole = self._step.held.whole
        if self._thread is None or self._thread[0] is not whole:
            self._thread = whole, ThreadAtTheEnd(self._step.held, self._step.bench.settings)
        return self._thread[1]

    def _ask_left_over(self) -> None:
        LeftOverQuestions(self._step.bench, self._step.ask, self._of_thread, self._step.say).begin()

    def _ask_about_box(self) -> None:
        if not BoxQuestion(self._step.bench, self._step.ask, self._of_thread, self._step.say).ask():
            self._step.say(thread_at_the_end.NOT_IN_BOX)

    def _do(self, change: Callable[[], str]) -> None:
        """Changes what is kept of the thread, and says what became of it."""
        try:
            self._step.say(change())
        except StoreError as error:
            self._step.say(str(error))

    def _show_band(self) -> None:
        layout, piece = self._layout, self._step.held.piece
        if layout is not None and piece is not None:
            self._step.ask(
                PictureScreen(self._step.bench, self._step.held.whole.main.design, layout, piece),
                lambda _: self._step.show(),
            )

    def _add_finish(self) -> None:
        held = self._step.held
        possible = after_the_end.possible_finishes(held)
        if possible:
            self._step.ask(FinishScreen(self._step.bench, held, possible), self._finish_chosen)
        else:
            self._step.say(after_the_end.NO_FINISH)

    def _finish_chosen(self, finish: UpdatedDesign | None) -> None:
        if finish is None:
            self._step.show()
        else:
            self._questions.change_design(finish)

    def go_on(self) -> bool:
        """Opens what follows the lesson, if the piece is one: the next lesson, or the band it has begun."""
        follows = following(self._step.held.file) if self._step.held.holding else None
        if follows is not None:
            self._open(follows)
        return follows is not None

    def _next_lesson(self) -> None:
        lesson = next_lesson(self._step.held.file)
        if lesson is not None:
            self._open(Following(lesson, 0))

    def _open(self, follows: Following) -> None:
        try:
            self._step.bench.open_design(follows.path, follows.rows)
        except (BadFile, StoreError) as error:
            self._step.say(str(error))
