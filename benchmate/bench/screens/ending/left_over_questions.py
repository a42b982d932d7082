"""The questions about what was left of the strings, one after the other, and what becomes of the answers."""

from collections.abc import Callable, Mapping
from functools import partial

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.thread.choice_screen import ChoiceScreen
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.screens.thread.opening_screens import Asking
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import length_words
from benchmate.piece_questions.thread import left_over_asked as asks
from benchmate.piece_questions.thread.box_booking import BoxBooking
from benchmate.piece_questions.thread.left_over import BAND, LeftOver
from benchmate.piece_questions.thread.thread_at_the_end import NOTHING_KEPT, ThreadAtTheEnd
from benchmate.piece_questions.typed_numbers import Asked, Typed, Wish
from benchmate.store.errors import StoreError

KEYS = {"escape": Wish.SKIP, "tab": Wish.REST, "up": Wish.BACK, "down": Wish.CORRECT}
MEANS = {Wish.SKIP: "skip", Wish.REST: "skip the rest", Wish.BACK: "back", Wish.CORRECT: "other length cut"}
"""The keys of what else can be wished, and what they do."""
LATER = "Not kept yet. The answers stay until you leave this piece."


class LeftOverQuestions:
    """Asks about each string, then about the band; then shows all answers, to keep or to correct."""

    def __init__(self, bench: Bench, asks: Asking, thread: ThreadAtTheEnd, done: Callable[[str], None]) -> None:
        """`done` takes what to say when it is over."""
        self._bench = bench
        self._asks = asks
        self._thread = thread
        self._done = done
        self._correcting = False
        """Whether one answer is being corrected, after which all are shown again."""

    def begin(self) -> None:
        """Asks the first question, or shows the answers there are."""
        try:
            told = self._thread.left_over()
        except StoreError as error:
            self._done(str(error))
            return
        if told.nothing_told:
            self._ask(0)
        else:
            self._show_answers()

    @property
    def _told(self) -> LeftOver:
        return self._thread.left_over()

    @property
    def _places(self) -> list[int]:
        return self._told.places

    def _ask(self, number: int) -> None:
        """Asks a question, by its place among all that are asked; after the last of them, shows the answers."""
        told, places = self._told, self._places
        if not 0 <= number < len(places):
            self._finish()
            return
        at = places[number]
        if at == BAND:
            asked, before = asks.ask_band(told), told.band_mm
            keys: Mapping[str, Wish] = {key: wish for key, wish in KEYS.items() if wish in (Wish.SKIP, Wish.BACK)}
        else:
            asked, before = asks.ask_left(told, at, number + 1), told.left.get(at)
            keys = KEYS
        self._show(asked, before, keys, lambda typed: self._answered(number, typed))

    def _show(
        self, asked: Asked, before: float | None, keys: Mapping[str, Wish], answered: Callable[[Typed], None]
    ) -> None:
        typed = "" if before is None else length_words(before, self._told.units)
        screen = NumberScreen(self._bench, asked, typed, keys, MEANS)
        self._asks(screen, lambda found: answered(Typed(Wish.LEAVE) if found is None else found))

    def _answered(self, number: int, typed: Typed) -> None:
        told, at = self._told, self._places[number]
        if typed.wish is Wish.CORRECT:
            self._show(
                asks.ask_cut(told, at), told.cut_mm(at), {"escape": Wish.BACK}, lambda cut: self._cut(number, cut)
            )
            return
        if typed.wish is Wish.BACK:
            self._ask(max(0, number - 1))
            return
        if typed.wish is Wish.TAKE:
            told.answer(at, typed.number)
        elif typed.wish is Wish.SKIP:
            told.answer(at, None)
        if typed.wish is Wish.LEAVE or self._correcting:
            self._finish()
        elif typed.wish is Wish.REST:
            self._ask(self._told.after_strings)
        else:
            self._ask(number + 1)

    def _cut(self, number: int, typed: Typed) -> None:
        if typed.wish is Wish.TAKE:
            self._told.cut[self._places[number]] = typed.number
        self._ask(number)

    def _finish(self) -> None:
        self._correcting = False
        if self._told.nothing_told:
            self._done(NOTHING_KEPT)
        else:
            self._show_answers()

    # All answers

    def _show_answers(self) -> None:
        told = self._told
        does: list[tuple[str, Callable[[], None]]] = [(told.keep_words, partial(self._keep, all_of_it=True))]
        if told.any_far_off:
            does.append(("keep it without what is far off", partial(self._keep, all_of_it=False)))
        first = len(does) if told.any_far_off else 0
        does += [(told.says(at), partial(self._correct, at)) for at in told.told]
        if BAND in told.places:
            does.append((told.band_says, partial(self._correct, BAND)))
        if told.not_asked:
            does.append((f"tell about {counted(len(told.not_asked), 'more string')}", self._ask_more))
        does.append(("throw these answers away", self._throw_away))
        texts = ["Right? Enter on a line corrects it."]
        choices = [says for says, _ in does]
        screen = ChoiceScreen(self._bench, asks.HEADING, texts, choices, at=first, escape="later")
        self._asks(screen, lambda found: self._done(LATER) if found is None else does[found][1]())

    def _correct(self, at: int) -> None:
        self._correcting = True
        self._ask(self._places.index(at))

    def _ask_more(self) -> None:
        first = len(self._told.sampled)
        self._told.ask_all()
        self._ask(first)

    def _throw_away(self) -> None:
        self._thread.throw_away()
        self._done(NOTHING_KEPT)

    def _keep(self, *, all_of_it: bool) -> None:
        try:
            kept = self._thread.keep(without_far_off=not all_of_it)
        except StoreError as error:
            self._done(f"{NOTHING_KEPT} {error}")
            return
        self._done(NOTHING_KEPT if kept is None else kept.says)
        if kept is not None:
            BoxQuestion(self._bench, self._asks, self._thread, self._done).ask()


class BoxQuestion:
    """Asks whether to book in the box what a piece used."""

    def __init__(self, bench: Bench, asks: Asking, thread: ThreadAtTheEnd, done: Callable[[str], None]) -> None:
        """`done` takes what to say when something was booked, or could not be."""
        self._bench = bench
        self._asks = asks
        self._thread = thread
        self._done = done

    def ask(self) -> bool:
        """Shows what is to be booked, and asks; False where there is nothing to book."""
        try:
            booking = self._thread.booking()
        except StoreError as error:
            self._done(str(error))
            return False
        if booking is None:
            return False
        screen = ChoiceScreen(self._bench, "YOUR BOX", [booking.question], booking.answers, to_read=booking.lines)
        self._asks(screen, lambda found: self._book(booking.chosen(found)))
        return True

    def _book(self, booking: BoxBooking | None) -> None:
        if booking is None:
            self._done("The box is as it was.")
            return
        try:
            self._done(self._thread.book(booking))
        except StoreError as error:
            self._done(str(error))
