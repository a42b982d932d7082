"""The words of plain mode inside a piece: what each is for, and what it does."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from benchmate.actions import ACTIONS
from benchmate.exit_status import DONE
from benchmate.files.safe_text import nearest
from benchmate.plain.in_piece import (
    correcting,
    hands_free,
    hearing,
    laying_out,
    measuring,
    moving,
    redesigning,
    telling,
)
from benchmate.plain.in_piece.session import Leave, Session


class Word(NamedTuple):
    """A word: the name of its action in the registry, or of what plain mode has besides; and what it does.

    `words` are those that a person may type, the usual one first. `says` is its line of help; empty where the registry
    says it. `after` shows what may follow it on the line; where it is empty, nothing may.
    """

    name: str
    words: tuple[str, ...]
    does: Callable[[Session, str], None]
    says: str = ""
    after: str = ""

    @property
    def help(self) -> str:
        """What it does, in a line."""
        says = self.says or next(action.says for action in ACTIONS if action.name == self.name)
        others = "".join(f" or {other}" for other in self.words[1:])
        after = f"; or {self.after}" if self.after else ""
        return f"{self.words[0] or 'empty line'}{others}: {says}{after}"


def _leave(session: Session, _: str) -> None:
    raise Leave(DONE)


def _explain(session: Session, topic: str) -> None:
    """Prints all words, or a help page."""
    if topic:
        telling.help_page(session, topic)
        return
    # Imported here: most pieces are worked without help.
    from benchmate.help.topics import TOPICS

    session.read_on([*(word.help for word in WORDS), f"help pages: {', '.join(TOPICS)}"])


# Imported in the next three: most pieces are worked without trouble.


def _lost(session: Session, given: str) -> None:
    """Finds the place."""
    from benchmate.plain.in_piece.trouble import lost_place

    lost_place.lost(session, given)


def _wrong(session: Session, given: str) -> None:
    """Finds out which knot is wrong."""
    from benchmate.plain.in_piece.trouble import which_knot

    which_knot.wrong(session, given)


def _short(session: Session, given: str) -> None:
    """Finds out which strings last."""
    from benchmate.plain.in_piece.trouble import string_questions

    string_questions.short(session, given)


WORDS = (
    Word("done", ("",), correcting.done),
    Word("back", ("undo", "b"), correcting.back),
    Word("again", ("again",), hearing.again),
    Word("strings", ("strings",), telling.strings, "how the strings hang now"),
    Word("where", ("where", "left"), telling.where, "row, how far, time left"),
    Word("lost", ("lost", "where am i"), _lost, "find your place from how the strings hang"),
    Word("lay_out", ("lay out", "l"), laying_out.lay_out),
    Word("wrong", ("wrong",), _wrong, after="wrong 37, wrong row 12, wrong strings, wrong known, wrong drop"),
    Word("short", ("short",), _short, "which strings last, and what to do when one runs short"),
    Word("keep", ("keep",), correcting.keep),
    Word("other", ("other",), correcting.other),
    Word("jump", ("jump",), moving.jump, after="jump row 12, jump knot 40, jump step 3, jump end"),
    Word("press", ("press",), moving.press, "what an empty line counts", after="press knot, press run, press row"),
    Word(
        "length",
        ("length",),
        measuring.length,
        after="length 12 repeats, length 40 rows, length now 64 mm, length wrist 17 cm, length wanted 18 cm",
    ),
    Word(
        "way",
        ("way",),
        moving.way,
        "rows or segments, from which side, mirrored",
        "way rows, way segments, way from right, way mirrored",
    ),
    Word("design", ("design",), redesigning.design),
    Word("voice", ("voice",), hearing.voice),
    Word("sound", ("sound",), hearing.sound, "how the voice sounds, how much it says"),
    Word("beat", ("pace",), hands_free.pace, "hands-free timer: a knot counts each beat, until the next answer"),
    Word("faster", hands_free.FASTER, hands_free.faster, "less time for a knot, with the timer"),
    Word("slower", hands_free.SLOWER, hands_free.slower, "more time for a knot, with the timer"),
    Word("take", ("take",), telling.take, "who holds this piece"),
    Word("light", ("light",), telling.light, "dark or light, on the full screen only"),
    Word("keys", ("?", "help", "keys"), _explain, "all words", after="help pieces for a help page"),
    Word("key", ("key",), telling.key, "what the abbreviations mean"),
    Word("more", ("more",), telling.more, "go on with what is being read"),
    Word("leave", ("q", "leave"), _leave),
)
"""Every word. The test of the registry fails for an action without one."""

EXACT = frozenset(("", "b", "l", "q"))
"""Answers that are these words only as they stand, without a space or another case: scripts rely on that."""


def does_for(answer: str) -> Callable[[Session], None] | None:
    """What an answer does; None for one that is not understood. Capitals and spaces around a word do not matter."""
    plain = " ".join(answer.split()).casefold()
    if answer in EXACT or plain not in EXACT:
        said = answer if answer in EXACT else plain
        for word, form in _forms():
            if said == form:
                return lambda session: word.does(session, "")
            if form and word.after and said.startswith(f"{form} "):
                return lambda session: word.does(session, said.removeprefix(form).strip())
    return None


def _forms() -> Iterator[tuple[Word, str]]:
    return ((word, form) for word in WORDS for form in word.words)


def opening_line(*, cutting: bool = False) -> str:
    """The words, for a person who begins; while lengths are cut, it was said what an empty line means there."""
    usual = [word.words[0] for word in WORDS if word.words[0]]
    return (
        f"{'' if cutting else 'Empty line: this step is done. '}Other words: {', '.join(usual)}. ? says what each does."
    )


def not_understood(answer: str) -> str:
    """What to say about an answer that is no word."""
    found, near = nearest(answer.strip(), [form for _, form in _forms() if form])
    guess = f" Did you mean {found}?" if found is not None and near else ""
    return f"Not understood.{guess} Empty line: done; ?: all words; q: leave."
