"""What was left of the strings, asked line by line, and what was used of the box."""

from collections.abc import Callable
from functools import partial

from benchmate.craft.wording.counting import counted
from benchmate.files.safe_text import shown
from benchmate.piece_questions.thread import left_over_asked as asks
from benchmate.piece_questions.thread.left_over import BAND, LeftOver
from benchmate.piece_questions.thread.thread_at_the_end import NOT_IN_BOX, NOTHING_KEPT, ThreadAtTheEnd
from benchmate.piece_questions.typed_numbers import Typed, Wish
from benchmate.plain.asking import Talk, ask_number
from benchmate.plain.in_piece.session import Session
from benchmate.store.errors import StoreError

WORDS = {"": Wish.SKIP, "back": Wish.BACK, "cut": Wish.CORRECT, "rest": Wish.REST, "q": Wish.LEAVE}
SAYS = {Wish.CORRECT: "correct the length that was cut"}


def tell(session: Session) -> None:
    """Asks what was left of each string and how long the band is; keeps the answers once the person says so."""
    try:
        _Questions(talk_of(session), session.thread_at_the_end).ask()
    except StoreError as error:
        session.refuse(shown(str(error)))


def take_back(session: Session) -> None:
    """Takes back what was measured of this piece."""
    _did(session, session.thread_at_the_end.take_back)


def book(session: Session) -> None:
    """Asks whether to book in the box what the piece used."""
    try:
        if not _ask_about_box(talk_of(session), session.thread_at_the_end):
            session.refuse(NOT_IN_BOX)
    except StoreError as error:
        session.refuse(shown(str(error)))


def undo_booking(session: Session) -> None:
    """Undoes what was booked for this piece."""
    _did(session, session.thread_at_the_end.undo_booking)


def talk_of(session: Session) -> Talk:
    """What is printed, heard and asked in a piece; the voice says it too."""
    return Talk(session.say, session.notice, session.hear, session.ask)


def _did(session: Session, change: Callable[[], str]) -> None:
    try:
        session.say(change())
    except StoreError as error:
        session.refuse(shown(str(error)))


def _ask_about_box(talk: Talk, thread: ThreadAtTheEnd) -> bool:
    booking = thread.booking()
    if booking is None:
        return False
    for line in booking.lines:
        talk.say(line)
    chosen = booking.chosen(talk.choose(booking.question, booking.answers))
    talk.say("The box is as it was." if chosen is None else thread.book(chosen))
    return True


class _Questions:
    """The questions, in order, and the answers at the end."""

    def __init__(self, talk: Talk, thread: ThreadAtTheEnd) -> None:
        self._talk = talk
        self._thread = thread
        self._explained = False

    @property
    def _told(self) -> LeftOver:
        return self._thread.left_over()

    def ask(self) -> None:
        """Asks everything, unless there are answers already; then shows them."""
        if self._told.nothing_told:
            self._ask_from(0)
        while not self._told.nothing_told:
            if self._answers():
                return
        self._talk.say(NOTHING_KEPT)

    def _ask_from(self, number: int) -> None:
        places = self._told.places
        while 0 <= number < len(places):
            wish = self._ask_one(places, number)
            if wish is Wish.LEAVE:
                return
            if wish is Wish.BACK:
                number = max(0, number - 1)
            elif wish is Wish.REST and number < self._told.after_strings:
                number = self._told.after_strings
            elif wish is not Wish.CORRECT:
                number += 1

    def _ask_one(self, places: list[int], number: int) -> Wish:
        told, at = self._told, places[number]
        asked = asks.ask_band(told) if at == BAND else asks.ask_left(told, at, number + 1)
        words = {word: wish for word, wish in WORDS.items() if at != BAND or wish is not Wish.CORRECT}
        says = None if self._explained else SAYS
        typed = ask_number(self._talk, asked, words, says=says)
        self._explained = True
        if typed.wish is Wish.CORRECT:
            cut = ask_number(self._talk, asks.ask_cut(told, at))
            if cut.wish is Wish.TAKE:
                told.cut[at] = cut.number
            return Wish.LEAVE if cut.wish is Wish.LEAVE else Wish.CORRECT
        self._answer(at, typed)
        return typed.wish

    def _answer(self, at: int, typed: Typed) -> None:
        if typed.wish in (Wish.TAKE, Wish.SKIP):
            self._told.answer(at, typed.number if typed.wish is Wish.TAKE else None)

    def _answers(self) -> bool:
        """Shows all answers, and does what is chosen; True when that is the end of it."""
        told = self._told
        does: list[tuple[str, Callable[[], bool]]] = [(told.keep_words, partial(self._keep, True))]
        if told.any_far_off:
            does.append(("keep it without what is far off", partial(self._keep, False)))
        does += [(f"correct {told.says(at)}", partial(self._correct, at)) for at in told.told]
        if BAND in told.places:
            does.append((f"correct {told.band_says}", partial(self._correct, BAND)))
        if told.not_asked:
            does.append((f"tell about {counted(len(told.not_asked), 'more string')}", self._ask_more))
        does.append(("throw these answers away", self._throw_away))
        chosen = self._talk.choose("Is it right?", [says for says, _ in does])
        if chosen is None:
            self._talk.say("Not kept yet. The answers stay until you leave this piece.")
            return True
        return does[chosen][1]()

    def _keep(self, all_of_it: bool) -> bool:
        kept = self._thread.keep(without_far_off=not all_of_it)
        self._talk.say(NOTHING_KEPT if kept is None else kept.says)
        if kept is not None:
            _ask_about_box(self._talk, self._thread)
        return True

    def _correct(self, at: int) -> bool:
        places = self._told.places
        while self._ask_one(places, places.index(at)) is Wish.CORRECT:
            pass
        return False

    def _ask_more(self) -> bool:
        first = len(self._told.sampled)
        self._told.ask_all()
        self._ask_from(first)
        return False

    def _throw_away(self) -> bool:
        self._thread.throw_away()
        self._talk.say(NOTHING_KEPT)
        return True
