"""What is said while a lost place is looked for: what fits, the questions, and the places."""

from collections.abc import Sequence

from benchmate.craft.trouble.wrong_step import DoneInstead, OtherColour, OtherMove, WrongStep
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import ordinal
from benchmate.craft.wording.trouble_words import CANNOT_TELL, done_instead, either, made_words
from benchmate.families.registry import trouble_of
from benchmate.piece_questions import jump_targets, knot_choices
from benchmate.piece_questions.trouble.hanging_colours import NOTHING, UNKNOWN, LetteredColour, miscounted
from benchmate.piece_questions.trouble.knot_places import place_of
from benchmate.piece_questions.trouble.known_mistakes import forgotten_words
from benchmate.piece_questions.trouble.lost_place import FoundPlace, LostPlace
from benchmate.piece_questions.trouble.place_questions import Asked, Candidate
from benchmate.store.open_piece import OpenPiece

AT_A_GLANCE = 5
"""Up to so many knots back, eyes find a knot without counting."""


def fits(lost: LostPlace) -> str:
    """How many places fit: `3 places fit.`"""
    count, searched = lost.count, lost.searched
    with_wrong = searched is not None and searched.with_one_wrong
    if not count:
        return f"No place fits, not even with one wrong {_word(lost)}." if with_wrong else "No place fits."
    places = "1 place fits" if count == 1 else f"{count} places fit"
    if not with_wrong:
        return f"{places}."
    ways, more = len(lost.places), " or more" if lost.may_be_more else ""
    in_ways = f", in {ways}{more} ways" if ways != count else more
    return f"None fits as charted. With one wrong {_word(lost)}, {places}{in_ways}."


def asked_in_brief(lost: LostPlace, asked: Asked) -> str:
    """The knot that is asked about, in as few words as it takes: `last knot`, `row 14, third from the left`."""
    if not asked.back:
        return place_of(lost.held, lost.main.first + asked.step)
    word = _moved(lost)
    if asked.back <= AT_A_GLANCE:
        return f"last {word}" if asked.back == 1 else f"{ordinal(asked.back)}-last {word}"
    return f"{word} {asked.back}, counting back"


def question(lost: LostPlace, asked: Asked) -> str:
    """`Look at the last knot: deep or foam?`; `Count back: the last knot is 1. Knot 11: deep or foam?`"""
    labels = [lost.main.design.say(colour) for colour in asked.colours if colour is not None]
    if None in asked.colours:
        labels.append(f"no {_word(lost)} there" if not asked.back else f"no such {_word(lost)}")
    colours = f"{either(labels)}?"
    if asked.back > AT_A_GLANCE:
        word = _moved(lost)
        return f"Count back: the last {word} is 1. {word.capitalize()} {asked.back}: {colours}"
    return f"Look at {'the ' if asked.back else ''}{asked_in_brief(lost, asked)}: {colours}"


def not_offered(lost: LostPlace, colour: str | None) -> str:
    """Why an answer was not taken: no place that fits has that colour there."""
    if colour is None:
        return f"Every place that fits has such a {_word(lost)}."
    return f"No place that fits has {lost.main.design.say(colour)} there."


def answers(lost: LostPlace, asked: Asked, colours: Sequence[LetteredColour]) -> list[tuple[str, str]]:
    """The keys of the answers, and what they say; that of a knot nobody can tell is the last."""
    by_name = {colour.name: colour for colour in colours}
    found = [(by_name[name].letter, by_name[name].label) for name in asked.colours if name is not None]
    if None in asked.colours:
        found.append((NOTHING, f"no {_word(lost)}"))
    return [*found, (UNKNOWN, CANNOT_TELL)]


def counting(lost: LostPlace) -> str:
    """What a number that is typed counts: `the row`, `knots done in row 7`."""
    rows = lost.main.design.family.row_word or "row"
    return f"the {rows}" if lost.row is None else f"{_word(lost)}s done in {rows} {lost.row}"


def not_there(lost: LostPlace) -> str:
    """What a number counts where the only place that fits is not where the maker is: `another row`."""
    return f"another {'row' if lost.row is None else f'number of {_word(lost)}s'}"


def nothing_fits(lost: LostPlace, key: str) -> str:
    """What to do where no place is left; the `key` goes back."""
    if lost.answers:
        return f"Answer again: {key}."
    cannot_be = _miscounted(lost)
    if cannot_be:
        return f"{cannot_be} Look again{f': {key}' if key else ''}."
    if lost.in_slots:
        return f"Look at the slots again{f': {key}' if key else ''}."
    return f"Look at the strings again{f': {key}' if key else ''}. Or there is more than one wrong knot."


def _miscounted(lost: LostPlace) -> str:
    """What was typed of a colour and what there is, where these differ; empty where they do not."""
    seen = lost.searched.seen if lost.searched is not None else None
    return miscounted(seen or lost.believed, lost.believed, lost.main.design)


def place_in_brief(lost: LostPlace, found: Candidate) -> str:
    """A place in large type: `row 7, knot 16`."""
    if found.done == len(lost.sequence):
        return "All done"
    return _at(lost, found).capitalize()


def count_asked(lost: LostPlace) -> str:
    """What the maker can count where nothing else tells the places apart."""
    rows, word = lost.main.design.family.row_word or "row", _word(lost)
    says = f"The last {word}s do not tell them apart. Count"
    if lost.row is not None:
        return f"{says}: how many {word}s of {rows} {lost.row} are done?"
    then = "" if _row_is_enough(lost) else f" Then: how many of its {word}s are done?"
    return f"{says}: which {rows} are you in?{then}"


def _row_is_enough(lost: LostPlace) -> bool:
    """Whether no two places that fit are in one row."""
    places = {place.done: place for place in lost.fitting}.values()
    rows = [row for place in places for row in lost.rows_at(place)]
    return len(rows) == len(set(rows))


def no_such_number(lost: LostPlace, number: int) -> str:
    """Why a number was not taken."""
    rows = lost.main.design.family.row_word or "row"
    counts = (
        f"in {rows} {number}" if lost.row is None else f"with {counted(number, _word(lost))} done in {rows} {lost.row}"
    )
    return f"None of these places is {counts}."


def place(lost: LostPlace, ways: Sequence[Candidate]) -> str:
    """A place: `row 7, knot 16 next, 3 knots further`; and the wrong knot that explains it.

    How that was made is said once it is known.
    """
    held, main, found = lost.held, lost.main, ways[0]
    where = "the band is done" if found.done == len(lost.sequence) else f"{_at(lost, found)} next"
    steps = found.done - lost.remembered
    way = "further" if steps > 0 else "back"
    far = f"{counted(abs(steps), _word(lost))} {way}" if steps else "where you were"
    words = f"{where}, {far}"
    if found.wrong is None:
        return words
    wrong = f"{words}; wrong: {_wrong_place(held, main.first + found.wrong)}"
    if len(ways) > 1:
        return wrong
    return f"{wrong}, {_made(held, main.first + found.wrong, found.made)}"


def notice(held: OpenPiece, found: FoundPlace) -> str:
    """What to say once a place is set, worked out before: where the piece was, and the wrong knot it remembers."""
    out, _ = held.progress.jump(found.target)
    said = [jump_targets.place_now(held), remembered(held, found), forgotten_words(held, out)]
    return " ".join(filter(None, said))


def remembered(held: OpenPiece, found: FoundPlace) -> str:
    """The wrong knot of a place: `Remembered: row 4, first from the left, made backward-forward.`

    Of one that is to be taken out: `Marked as wrong: row 4, third from the left, rust instead of foam.`
    """
    kept = (
        f"Remembered: {_wrong_place(held, number)}, {_made(held, number, made)}." for number, made in found.made.items()
    )
    return " ".join([*kept, *([] if found.wrong is None else [_to_put_right(held, found.wrong, found)])])


def _to_put_right(held: OpenPiece, wrong: WrongStep, found: FoundPlace) -> str:
    """The wrong step that is to be put right at once, or that is marked, and what else it takes to get at it."""
    number, made = wrong.step, wrong.made[0]
    how = f"{_wrong_place(held, number)}, {_made(held, number, made)}."
    if found.now is not None:
        return f"Wrong: {how} Put it right now: {found.now.source} to {found.now.target}."
    says = f"Marked as wrong: {how}"
    if isinstance(made, OtherMove):
        says += f" Undo to it, and lay that strand back in {made.source}."
    if isinstance(made, OtherColour) and found.held_by_it:
        colour = held.whole.main.design.say(made.colour)
        says += f" The same string may hold later {colour} knots: they come out first."
    return says


def _at(lost: LostPlace, found: Candidate) -> str:
    """The step that comes next at a place, with its row, or its repeat: `row 7, knot 16`."""
    return _in_row(lost.held, lost.main.first + lost.sequence[found.done])


def _moved(lost: LostPlace) -> str:
    return "strand moved" if lost.in_slots else _word(lost)


def _wrong_place(held: OpenPiece, number: int) -> str:
    """Where a wrong step is: `row 14, third from the left`; `repeat 3, move 11`."""
    main = held.whole.main
    rows = main.design.family.row_word
    return place_of(held, number) if rows == "row" else _in_row(held, number)


def _in_row(held: OpenPiece, number: int) -> str:
    main = held.whole.main
    rows = main.design.family.row_word
    first = f"{rows} {main.work.row_of(number - main.first)}, " if rows and rows != "row" else ""
    return f"{first}{knot_choices.tied_knot(held, number)}"


def _made(held: OpenPiece, number: int, made: DoneInstead) -> str:
    main = held.whole.main
    if not trouble_of(main.design.family).knows_ways or isinstance(made, OtherColour | OtherMove):
        return done_instead(main.design, main.work, number - main.first, [made])
    return made_words(made) if made is None else f"made {made_words(made)}"


def _word(lost: LostPlace) -> str:
    return lost.main.design.family.step_word
