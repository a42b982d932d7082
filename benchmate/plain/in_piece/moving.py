"""Words that change where the piece is and how it is worked: jump, press, way."""

from collections.abc import Callable, Sequence

from benchmate.craft.ways import Way
from benchmate.craft.wording.prompts import Happened
from benchmate.exit_status import BAD_INPUT
from benchmate.files.safe_text import shown
from benchmate.piece_exchange import LOST
from benchmate.piece_opening import WorkingOptions, nothing_tied, worked_another_way
from benchmate.piece_questions import jump_targets, way_choices
from benchmate.plain.in_piece.arguments import kind_and_number
from benchmate.plain.in_piece.opening import open_piece
from benchmate.plain.in_piece.session import TAKEN_OVER, Leave, Session
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import MEANS, PRESSES
from benchmate.store.pieces import TakenOver

UNMIRRORED = "unmirrored"
WAYS: dict[str, Callable[[Way], Way]] = {
    "rows": lambda way: way._replace(by="rows"),
    "segments": lambda way: way._replace(by="segments"),
    "left": lambda way: way._replace(from_right=False),
    "right": lambda way: way._replace(from_right=True),
    "mirror": lambda way: way._replace(mirrored=True),
    "mirrored": lambda way: way._replace(mirrored=True),
    UNMIRRORED: lambda way: way._replace(mirrored=False),
}
"""What a word after `way` changes."""
BETWEEN = ("by", "from", "the")
"""Words that may stand between those."""


def jump(session: Session, given: str) -> None:
    """Says what going to a row, knot or step means, and goes there."""
    held = session.held
    if session.blocked() or not held.whole.size:
        return
    kinds = jump_targets.kinds(held.whole)
    target: Sequence[int]
    if given == "end":
        kind, target = kinds[0], held.order.sequence
    else:
        found = kind_and_number(given, kinds, usual=kinds[0])
        if found is None:
            ways = [*(f"jump {kind} 12" for kind in kinds), "jump end"]
            session.refuse(f"Where to? {', '.join(ways)}. {jump_targets.how_many(held.whole, kinds[0])}")
            return
        kind, number = found
        there = jump_targets.target(held, kind, number)
        if there is None:
            session.refuse(jump_targets.how_many(held.whole, kind))
            return
        target = there
    out, tied = held.progress.jump(target)
    texts = jump_targets.meaning(held, kind, target)
    if not out and not tied:
        for text in texts:
            session.say(text)
        return
    for text in texts[:-1]:
        session.say(text)
    if session.ask(texts[-1], ["go there"]) is None:
        return
    before = jump_targets.place_now(held)
    session.change(lambda: held.jump_to(target), Happened.JUMPED, then=lambda: before)


def press(session: Session, given: str) -> None:
    """Changes what an empty line counts: a knot, the rest of the run, or the rest of the row."""
    if not given:
        chosen = session.ask(
            f"An empty line counts {MEANS[session.press]}. What should it count?", [MEANS[each] for each in PRESSES]
        )
        if chosen is None:
            return
        given = PRESSES[chosen]
    if given not in PRESSES:
        session.refuse("press knot, press run or press row.")
        return
    session.press = given
    undoing = session.held.wrong is not None
    first = "An empty line undoes one step until the wrong one is out; then it" if undoing else "An empty line now"
    session.say(f"{first} counts {MEANS[given]}.")
    session.say_step()
    session.say_aloud(Happened.RESUMED)


def way(session: Session, given: str) -> None:
    """Changes the way of working: rows or segments, from which side, mirrored or not."""
    if session.blocked():
        return
    held = session.held
    if not held.whole.main.design.family.has_mirror_image:
        session.refuse(way_choices.ONE_WAY)
        return
    may_mirror = nothing_tied(held)
    if given:
        wanted = _way_given(held.way, given)
        if wanted is None:
            session.refuse("way rows, way segments, way from left, way from right, way mirrored, way unmirrored.")
            return
    else:
        choices = way_choices.choices(held, may_mirror=may_mirror)
        session.say(way_choices.now(held))
        chosen = session.ask("How do you want to work?", [choice.says for choice in choices])
        if chosen is None:
            return
        wanted = choices[chosen].way
    before = held.way
    if wanted == before:
        session.say(f"Working {before.words}, as before.")
    elif wanted.mirrored != before.mirrored:
        if may_mirror:
            _restart_as(session, wanted)
        else:
            session.refuse(way_choices.MIRROR_BEFORE)
    else:
        session.change(
            lambda: held.change_way(wanted.by, from_right=wanted.from_right),
            then=lambda: way_choices.changed_to(before, held.way),
        )


def _way_given(way: Way, given: str) -> Way | None:
    """The way with what the words after `way` change; None for other words."""
    words = [word for word in given.replace("not mirrored", UNMIRRORED).split() if word not in BETWEEN]
    for word in words:
        change = WAYS.get(word)
        if change is None:
            return None
        way = change(way)
    return way if words else None


def _restart_as(session: Session, way: Way) -> None:
    """Works the piece, of which nothing is tied, another way."""
    held = session.held
    own = held.copy.repeats == held.whole.main.design.repeats
    # A length that was chosen before the first step stays.
    repeats, band_mm = None if own else held.copy.repeats, session.opened.options.band_mm
    options = WorkingOptions(way.by, repeats, way.from_right, way.mirrored, band_mm)
    try:
        opened = worked_another_way(session.opened, options)
    except TakenOver:
        session.notice(f"{TAKEN_OVER} Nothing was changed; leaving.")
        raise Leave(BAD_INPUT) from None
    except LOST:
        raise
    except StoreError as error:
        session.refuse(shown(str(error)))
        return
    open_piece(session, opened)
