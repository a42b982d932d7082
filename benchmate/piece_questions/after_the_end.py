"""What is offered once every step of a piece is done."""

from collections.abc import Sequence
from functools import lru_cache

from benchmate.craft.history.what_it_took import in_a_line
from benchmate.craft.wording.counting import counted
from benchmate.design_files.finishes import finishes_for
from benchmate.design_files.load import load
from benchmate.design_files.shelf import Following, following, name_of, next_lesson
from benchmate.files.tree import BadFile
from benchmate.piece_opening import UpdatedDesign, with_finish
from benchmate.store.open_piece import OpenPiece

ONWARD, NEXT_LESSON, LENGTH, FINISH, PICTURE = "onward", "lesson", "length", "finish", "picture"
"""The offers: what a lesson leads to, the lesson after it, more rows or repeats, a finish, a picture of the band."""
NO_FINISH = "No shipped finish suits this design."
GOING_ON = {"row": "go on: more rows or repeats", "": "do it all again: more repeats"}


def offers(held: OpenPiece, *, drawable: bool, thread: Sequence[tuple[str, str]] = ()) -> list[tuple[str, str]]:
    """What is possible now, each with its words; `drawable` where there is a picture of the band.

    `thread` is what is offered about its thread.
    """
    found: list[tuple[str, str]] = []
    follows = following(held.file) if held.holding else None
    if follows is not None:
        found.append((ONWARD, said(follows)))
        if follows.path != next_lesson(held.file) is not None:
            found.append((NEXT_LESSON, "the next lesson"))
    if held.holding:
        found.append((LENGTH, GOING_ON.get(held.whole.main.design.family.row_word, "go on: more repeats")))
    if drawable:
        if held.holding and held.whole.parts[-1] is held.whole.main:
            found.append((FINISH, "add a finish"))
        found.append((PICTURE, "see the band, save a picture"))
    found += thread
    return found


def possible_finishes(held: OpenPiece) -> list[UpdatedDesign]:
    """The piece with each shipped finish that suits it."""
    finishes = [with_finish(held, finish) for finish in finishes_for(held.whole.main.design)]
    return [finish for finish in finishes if finish is not None]


def finish_words(finish: UpdatedDesign) -> str:
    """A finish in a few words: its title and its number of steps."""
    part = finish.whole.parts[-1]
    return f"{part.design.title}: {counted(part.work.size, 'step')}"


def how_it_begins(finish: UpdatedDesign) -> str:
    """The first step of a finish."""
    part = finish.whole.parts[-1]
    return part.design.family.words.name(part.work.step(0))


def what_it_took(held: OpenPiece) -> str:
    """What the piece took, in a line."""
    main = held.whole.main
    return in_a_line(held.took(), main.work.size, main.design.family.step_word)


@lru_cache(maxsize=8)
def said(follows: Following) -> str:
    """What follows a lesson, by its title."""
    try:
        title = load(follows.path).design.title
    except BadFile:
        # Opening it says what is wrong.
        title = name_of(follows.path)
    return f"{title}, from row {follows.rows + 1}" if follows.rows else title
