"""What is said while a lost place is looked for: what fits, the questions, and the places."""

from collections import Counter
from collections.abc import Sequence

from benchmate.craft.trouble.made_otherwise import Made
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import ordinal
from benchmate.craft.wording.trouble_words import CANNOT_TELL, made_words
from benchmate.piece_questions import jump_targets, knot_choices
from benchmate.piece_questions.trouble.hanging_colours import NOTHING, UNKNOWN, LetteredColour
from benchmate.piece_questions.trouble.knot_places import place_of
from benchmate.piece_questions.trouble.known_mistakes import forgotten_words
from benchmate.piece_questions.trouble.lost_place import Asked, Candidate, FoundPlace, LostPlace
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
    *before, last = labels
    colours = f"{', '.join(before)} or {last}?"
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


def nothing_fits(lost: LostPlace, key: str) -> str:
    """What to do where no place is left; the `key` goes back."""
    if lost.answers:
        return f"Answer again: {key}."
    miscounted = _miscounted(lost)
    if miscounted:
        return f"{miscounted} Look again{f': {key}' if key else ''}."
    if lost.in_slots:
        return f"Look at the slots again{f': {key}' if key else ''}."
    return f"Look at the strings again{f': {key}' if key else ''}. Or there is more than one wrong knot."


def _miscounted(lost: LostPlace) -> str:
    """What was typed of a colour and what there is, where these differ; empty where they do not."""
    seen = lost.searched.seen if lost.searched is not None else None
    typed, there = Counter(seen or lost.believed), Counter(lost.believed)
    colour = next((name for name in (*(typed - there), *(there - typed)) if name), None)
    if colour is None:
        return ""
    return f"You typed {typed[colour]} {lost.main.design.say(colour)}; the piece has {there[colour]}."


def place_in_brief(lost: LostPlace, found: Candidate) -> str:
    """A place in large type: `row 7, knot 16`."""
    if found.done == len(lost.sequence):
        return "All done"
    return _at(lost, found).capitalize()


def count_asked(lost: LostPlace) -> str:
    """What the maker can count where nothing else tells the places apart."""
    rows = lost.main.design.family.row_word or "row"
    if lost.row is not None:
        return f"The last {_word(lost)}s do not tell them apart. Count: how many of that {rows} are done?"
    return f"The last {_word(lost)}s do not tell them apart. Count: which {rows} are you in?"


def no_such_number(lost: LostPlace, number: int) -> str:
    """Why a number was not taken."""
    rows = lost.main.design.family.row_word or "row"
    counts = f"in {rows} {number}" if lost.row is None else f"with {counted(number, _word(lost))} of that {rows}"
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
    wrong = f"{words}; wrong: {place_of(held, main.first + found.wrong)}"
    if len(ways) > 1:
        return wrong
    return f"{wrong}, {_made(found.made)}"


def notice(held: OpenPiece, found: FoundPlace) -> str:
    """What to say once a place is set, worked out before: where the piece was, and the wrong knot it remembers."""
    out, _ = held.progress.jump(found.target)
    said = [jump_targets.place_now(held), remembered(held, found), forgotten_words(held, out)]
    return " ".join(filter(None, said))


def remembered(held: OpenPiece, found: FoundPlace) -> str:
    """The wrong knot that a place remembers: `Remembered: row 4, first from the left, made backward-forward.`"""
    return " ".join(f"Remembered: {place_of(held, number)}, {_made(made)}." for number, made in found.made.items())


def _at(lost: LostPlace, found: Candidate) -> str:
    """The step that comes next at a place, with its row, or its repeat: `row 7, knot 16`."""
    main, step = lost.main, lost.sequence[found.done]
    rows = main.design.family.row_word
    first = f"{rows} {main.work.row_of(step)}, " if rows and rows != "row" else ""
    return f"{first}{knot_choices.tied_knot(lost.held, main.first + step)}"


def _moved(lost: LostPlace) -> str:
    return "strand moved" if lost.in_slots else _word(lost)


def _made(made: Made) -> str:
    return made_words(made) if made is None else f"made {made_words(made)}"


def _word(lost: LostPlace) -> str:
    return lost.main.design.family.step_word
