"""Asks for numbers in plain mode, and for one of some choices."""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from benchmate.piece_questions.typed_numbers import MEANS, Asked, Typed, Wish, judge

TAKES_IT = "Type it again to take it."
SKIPS: Mapping[str, Wish] = {"": Wish.SKIP, "q": Wish.LEAVE}
"""The answers that are no number, where there are no others."""


class Talk(NamedTuple):
    """What is printed, heard and asked: in a piece, or in the list."""

    say: Callable[[str], None]
    notice: Callable[[str], None]
    hear: Callable[[], str | None]
    choose: Callable[[str, Sequence[str]], int | None]


def ask_number(
    talk: Talk,
    asked: Asked,
    words: Mapping[str, Wish] = SKIPS,
    *,
    says: Mapping[Wish, str] | None = None,
    given: str = "",
    after: str = "",
) -> Typed:
    """Asks for a number; one that is far from usual is asked about once. The end of input leaves.

    `words` are the answers that wish something else; they are explained where `says` has what they do. With a first
    answer `given` already, nothing is asked before it was judged. It stood `after` these words, which may be typed with
    it again.
    """
    if not given:
        question = f". {asked.in_full}" if asked.in_full else f": {asked.question}."
        texts = [*asked.texts, *([f"In {asked.unit}."] if asked.unit else [])]
        talk.say(f"{asked.heading.capitalize()}{question} {' '.join(texts)}")
    if says:
        talk.say(
            ", ".join(f"{word or 'empty line'}: {says.get(wish, MEANS.get(wish))}" for word, wish in words.items())
        )
    doubted: float | None = None
    answer: str | None = given or talk.hear()
    while answer is not None:
        answer = answer.strip().removeprefix(after).strip()
        wish = words.get(answer.casefold())
        if wish is not None:
            return Typed(wish)
        judged = judge(asked, answer, doubted)
        if judged.number is not None:
            return Typed(Wish.TAKE, judged.number)
        doubted = judged.doubted
        talk.notice(judged.says if doubted is None else f"{judged.says} {TAKES_IT}")
        answer = talk.hear()
    return Typed(Wish.LEAVE)
