"""Going to any row, knot or step: which places there are, and what going there means."""

from collections.abc import Iterable, Sequence

from benchmate.craft.progress import hanging_after
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import joined
from benchmate.piece_questions.trouble.known_mistakes import forgotten_words
from benchmate.store.open_piece import OpenPiece

MOST_SAID = 30_000
"""About how many characters the names of all strings together may have: more than any screen shows."""


def kinds(whole: WholePiece) -> list[str]:
    """What a number may count: the first is meant where nothing else is said.

    Rows and knots are those of the band. Steps count through the whole piece, start and finish too.
    """
    family = whole.main.design.family
    found = [*(["row"] if family.row_word == "row" else []), family.step_word]
    if len(whole.parts) > 1 and "step" not in found:
        found.append("step")
    return found


def count_of(whole: WholePiece, kind: str) -> int:
    """How many there are of what the number counts. Knots are those of the band, steps those of the whole piece."""
    return {"row": whole.main.work.rows, "step": whole.size}.get(kind, whole.main.work.size)


def target(held: OpenPiece, kind: str, number: int) -> Sequence[int] | None:
    """The steps tied where row, knot or step `number` comes next, in a possible order; None without such a place.

    In every way of working, a row begins when all rows before it are tied.
    """
    if not 1 <= number <= count_of(held.whole, kind):
        return None
    band = held.whole.main
    if kind == "row":
        return range(band.first + band.work.span(number).first)
    return held.order.sequence[: number - 1 + (0 if kind == "step" else band.first)]


def how_many(whole: WholePiece, kind: str) -> str:
    """`The band has 30 rows.`"""
    has = "The band" if len(whole.parts) > 1 and kind != "step" else "This piece"
    return f"{has} has {counted(count_of(whole, kind), kind)}."


def meaning(held: OpenPiece, kind: str, tied_there: Sequence[int], *, briefly: bool = False) -> list[str]:
    """What going to a target means, a sentence each; `briefly` for a small window."""
    whole, progress = held.whole, held.progress
    out, tied = progress.jump(tied_there)
    if len(tied_there) == whole.size:
        texts = ["To the end: every step counted as done."]
    elif held.way.by == "segments" and kind == "row":
        texts = [f"There: all rows before it, {len(tied_there)} of {whole.size}; the rest is replanned."]
    else:
        number = held.order.sequence[len(tied_there)]
        part, step = whole.part_of(number), whole.step(number)
        place = step_words.numbered(whole, number, len(tied_there) + 1)
        words = step_words.spoken(part, step)
        if briefly:
            words = joined([step_words.name_of(part, step), step_words.crossed(part, step)])
        texts = [f"There: {place}, {words}."]
    changed = {whole.part_of(each).design.family.step_word for each in (*out, *tied)}
    one = changed.pop() if len(changed) == 1 else "step"
    made, undone = ("tied", "undone") if one == "knot" else ("done", "not done")
    was_made, was_not = ("", "") if briefly else (f" {made} now", f" not {made} yet")
    if out:
        texts.append(f"{counted(len(out), one)}{was_made} will be counted as {undone}.")
    if tied:
        texts.append(f"{counted(len(tied), one)}{was_not} will be counted as {made}.")
    if forgotten := forgotten_words(held, out):
        texts.append(forgotten)
    if not out and not tied:
        texts.append("That is where you are.")
    if whole.main.design.family.step_view.strings_move:
        design = whole.main.design
        hanging = hanging_after(whole, held.order, tied_there)
        said = _said_in_short(design.say_of(string) for string in hanging)
        texts.append(f"Strings{'' if briefly else ' there,'} from the left: {said}.")
    return texts


def place_now(held: OpenPiece) -> str:
    """Where the piece is before a jump, in words: `Before the jump you were at knot 37.`"""
    number = held.progress.next
    here = "the end"
    if number is not None:
        here = step_words.numbered(held.whole, number, held.order.place[number] + 1)
    return f"Before the jump you were at {here}."


def _said_in_short(names: Iterable[str]) -> str:
    """The names one after the other, cut where they are longer than a screen."""
    found: list[str] = []
    room = MOST_SAID
    for name in names:
        found.append(name[:room])
        room -= len(name)
        if room <= 0:
            break
    return ", ".join(found)
