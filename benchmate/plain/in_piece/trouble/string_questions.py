"""A string that runs short, line by line."""

from benchmate.exit_status import BAD_INPUT
from benchmate.files.safe_text import shown
from benchmate.piece_exchange import LOST
from benchmate.piece_questions.thread.dialogue import Answer, Choose, Number, OpenQuestion, Question, after_sayings
from benchmate.piece_questions.trouble.running_short import DONE, ask
from benchmate.piece_questions.typed_numbers import Typed, Wish
from benchmate.plain.asking import ask_number
from benchmate.plain.asking_between_steps import BACK, BEFORE
from benchmate.plain.choices import WentBack
from benchmate.plain.in_piece.session import TAKEN_OVER, Leave, Session
from benchmate.plain.in_piece.telling_left_over import talk_of
from benchmate.store.errors import StoreError
from benchmate.store.pieces import TakenOver

WORDS = {BACK: Wish.SKIP, "": Wish.LEAVE, "q": Wish.LEAVE}


def short(session: Session, _: str) -> None:
    """Says which strings last, and asks about the one that runs short."""
    if session.blocked():
        return
    dialogue = ask(session.held, session.settings.units)
    try:
        asked: Question = next(dialogue)
        left = False
        while True:
            refused, question = after_sayings(dialogue, asked)
            if refused:
                session.notice(refused)
            answer, left = (_leaving(question), True) if left else _answer(session, question)
            asked = dialogue.send(answer)
    except StopIteration as end:
        if end.value:
            session.say(str(end.value))
    except TakenOver:
        session.notice(f"{TAKEN_OVER} Leaving.")
        raise Leave(BAD_INPUT) from None
    except LOST:
        raise
    except StoreError as error:
        session.refuse(shown(str(error)))


def _answer(session: Session, question: OpenQuestion) -> tuple[Answer, bool]:
    """The answer, and whether it leaves all that was asked."""
    talk = talk_of(session)
    if isinstance(question, Number):
        typed = ask_number(talk, question.asked, WORDS, says={Wish.SKIP: BEFORE, Wish.LEAVE: "leave"})
        return typed, typed.wish is Wish.LEAVE
    assert isinstance(question, Choose)
    if not question.choices:
        session.say(question.question)
        return None, True
    choices = [says.removeprefix(f"{number} ") for number, says in enumerate(question.choices, 1)]
    # Where an answer leads back itself, and where there is nothing before, the word is not needed.
    back = "" if question.leaves in (*question.choices, DONE) else BEFORE
    try:
        chosen = session.ask(f"{question.heading.capitalize()}. {question.question}", choices, back)
    except WentBack:
        return None, False
    return chosen, chosen is None


def _leaving(question: OpenQuestion) -> Answer:
    """The answer that leaves a question, as a person does who leaves all of them."""
    return Typed(Wish.LEAVE) if isinstance(question, Number) else None
