"""A string that runs short: which it is, how much is left, and what follows. The bench and plain mode ask the same."""

from collections.abc import Sequence

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.trouble.string_outlook import BY_EYE, FEWEST_MM, Outlook, Used
from benchmate.craft.wording.gauge_words import rests_on
from benchmate.craft.wording.length_words import fine_words, length_words
from benchmate.piece_questions import typed_numbers
from benchmate.piece_questions.knot_choices import tied_knot
from benchmate.piece_questions.thread.dialogue import Choose, Dialogue, Number, Say, choose, number
from benchmate.piece_questions.thread.new_thread import threads_for, where_new_one_begins
from benchmate.piece_questions.trouble.string_forecast import Expected, Forecast, forecast_of
from benchmate.piece_questions.trouble.string_words import string_called
from benchmate.piece_questions.typed_numbers import Typed, Wish
from benchmate.store.errors import NotSaved
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.new_strings import taken_over

HEADING = "STRINGS"
OTHER_FAMILY = "Where a string gives out is known in diagonal bands only. The help page thread says how long to cut it."
NOTHING_LEFT = "All knots are tied: every string has lasted."
BACK, DONE = "back to the strings", "done"
NEW_ONE = "a new string has taken over"
NOT_NEW = "undo the new string"
UNDONE = "new string undone; what was known before counts again."
STILL = "new string undone; what you measured since still counts."
WHERE, JUST_NOW = "Where was it laid in?", "just now"
NOT_FROM_BOX = "not from the box"
MEASURED = "measure it and type how much"
WISHES = {Wish.SKIP: "back"}


def ask(held: OpenPiece, units: str) -> Dialogue[str]:
    """Asks about one string after another, until the person is done; returns what to say then, if anything.

    Raises StoreError, and TakenOver when another window holds the piece.
    """
    forecast = forecast_of(held)
    if forecast is None:
        yield Choose(HEADING, OTHER_FAMILY, [], leaves="back")
        return ""
    if held.progress.finished:
        yield Choose(HEADING, NOTHING_LEFT, [], leaves="back")
        return ""
    says, at = "", None
    while True:
        strings = as_they_hang(held)
        if at is None:
            at = strings.index(most_pressing(forecast, strings))
        lines = [in_the_list(held, forecast, string) for string in strings]
        chosen = yield from choose(Choose(HEADING, _which(forecast), lines, at=at, leaves=DONE))
        if chosen is None:
            return says
        at = chosen
        said = yield from _about(held, forecast, strings[chosen], units)
        says = said or says
        forecast = forecast_of(held) or forecast


def as_they_hang(held: OpenPiece) -> list[int]:
    """The numbers of the strings, left to right as they hang now."""
    return [string for string in held.progress.hanging if string]


def most_pressing(forecast: Forecast, strings: Sequence[int]) -> int:
    """The string that is expected to give out first, else the one with least to spare."""
    known = [string for string in strings if forecast.hung(string) is not None]
    if not known:
        return strings[0]
    return min(known, key=lambda string: forecast.left_at_the_end(string) or 0.0)


def in_the_list(held: OpenPiece, forecast: Forecast, string: int) -> str:
    """`3 foam: certain to last`, with its place from the left now; `3 foam, new: …` where a new string took over."""
    place, colour = held.progress.hanging.index(string) + 1, held.whole.main.design.say_of(string)
    expected = forecast.expected(string)
    if expected is None:
        return f"{place} {colour}: not known"
    row = "" if expected.gives_out is None else f" in row {held.whole.step(expected.gives_out).row}"
    new = ", new" if expected.hung.joined else ""
    is_past = expected.gives_out is not None and held.progress.is_tied(expected.gives_out)
    outlook = "should have given out" if is_past else expected.outlook.value
    return f"{place} {colour}{new}: {outlook}{row}"


def _which(forecast: Forecast) -> str:
    """What the list rests on."""
    parts = ["Which one runs short?"]
    if not forecast.cut_is_known:
        parts.append("By the cut list where what you cut is not known.")
    here = forecast.here
    if here.strings:
        parts.append(f"This piece uses {here.share:.2f} times what the gauge expects.")
    else:
        parts.append(f"Gauge: {rests_on(forecast.estimate)}.")
    return " ".join(parts)


def _about(held: OpenPiece, forecast: Forecast, string: int, units: str) -> Dialogue[str]:
    """Asks how much is left of a string, and says what follows."""
    by_eye = [f"{each.says}: {length_words(each.mm, units)}" for each in BY_EYE]
    heading = string_called(held, string).upper()
    is_new = string in [each.string for each in taken_over(held.new_strings, held.progress.has_tied)]
    choices = [MEASURED, *by_eye, NEW_ONE, *([NOT_NEW] if is_new else [])]
    while True:
        chosen = yield from choose(Choose(heading, _so_far(forecast, string, units), choices, leaves="back"))
        if chosen is None:
            return ""
        if choices[chosen] == NEW_ONE:
            return (yield from _new_one(held, forecast, string, units))
        if choices[chosen] == NOT_NEW:
            known = held.measured.get(string)
            try:
                held.take_new_string_back(string)
            except NotSaved as error:
                yield Say(str(error), refused=True)
                continue
            measured = held.measured.get(string)
            stays = known is not None and measured is not None and known.at == measured.at
            return f"{_beginning(string_called(held, string))}: {STILL if stays else UNDONE}"
        if chosen == 0:
            typed = yield from number(Number(_how_much(held, forecast, string, units), WISHES))
            if typed.wish is Wish.LEAVE:
                return ""
            if typed.wish is not Wish.TAKE:
                continue
            left = typed.number
        else:
            left = BY_EYE[chosen - 1].mm
        try:
            held.measure(string, left, by_eye=chosen > 0)
        except NotSaved as error:
            yield Say(str(error), refused=True)
            continue
        return (yield from _found(held, string, units))


def _so_far(forecast: Forecast, string: int, units: str) -> str:
    left, needs = forecast.left_now(string), length_words(forecast.needs_mm(string, forecast.done), units)
    known = "" if left is None else f" About {length_words(left, units)} should be left."
    return f"How much is left? It needs {needs}.{known}"


def _how_much(held: OpenPiece, forecast: Forecast, string: int, units: str) -> typed_numbers.Asked:
    """How much is left; a length that does not go with what was cut is asked about once."""

    def doubt(mm: float) -> str | None:
        used = forecast.used_so_far(string, mm, forecast.done)
        if used is not None and not used.is_believed and (used.used_mm <= 0 or used.expected_mm >= FEWEST_MM):
            left = forecast.left_now(string)
            expected = "" if left is None else f" By what was cut, about {length_words(left, units)} is left."
            return f"{length_words(mm, units)}?{expected}"
        return None

    texts = ["Hold it straight, and measure from the last knot to its end."]
    return typed_numbers.length(
        string_called(held, string).upper(), "left", "hanging", units, texts, doubt=doubt
    )._replace(in_full="How much is left?")


def _found(held: OpenPiece, string: int, units: str) -> Dialogue[str]:
    """Says what follows from what is left."""
    forecast = forecast_of(held)
    expected = None if forecast is None else forecast.expected(string)
    assert forecast is not None
    assert expected is not None
    texts = what_follows(held, forecast, expected, units)
    choices = [BACK, *([NEW_ONE] if expected.gives_out is not None else [])]
    chosen = yield from choose(Choose(_verdict(held, expected), " ".join(texts), choices, leaves=BACK))
    if chosen == 1:
        return (yield from _new_one(held, forecast, string, units))
    return in_short(held, expected)


def _verdict(held: OpenPiece, expected: Expected) -> str:
    """What follows in a few words, to be read from afar."""
    if expected.gives_out is not None:
        return f"GIVES OUT IN ROW {held.whole.step(expected.gives_out).row}"
    return "LASTS" if expected.outlook is Outlook.CERTAIN else "PROBABLY LASTS"


def in_short(held: OpenPiece, expected: Expected) -> str:
    """What follows, in a line."""
    name = _beginning(string_called(held, expected.string))
    if expected.gives_out is None:
        return f"{name}: {expected.outlook.value}."
    by = "" if expected.lay_in is None else f"; a new one by {tied_knot(held, expected.lay_in)}"
    return f"{name}: gives out at {tied_knot(held, expected.gives_out)}{by}."


def what_follows(held: OpenPiece, forecast: Forecast, expected: Expected, units: str) -> list[str]:
    """What follows from what is left of a string, in sentences, the most important first."""
    string, hung = expected.string, expected.hung
    name, left = _beginning(string_called(held, string)), fine_words(hung.mm, units)
    now, about = forecast.left_now(string), ""
    if now is not None and hung.done != forecast.done:
        left, about = length_words(now, units), "About "
    needs = length_words(forecast.needs_mm(string, forecast.done), units)
    if expected.gives_out is None:
        texts = [f"{name}: {expected.outlook.value}. {about}{left} left, {needs} needed."]
        if forecast.finish_mm > 0:
            end = length_words(max(0.0, forecast.left_at_the_end(string) or 0.0), units)
            texts.append(f"Then {end} is left for the finish, which takes {length_words(forecast.finish_mm, units)}.")
    else:
        texts = [f"{name} gives out at {tied_knot(held, expected.gives_out)}. {_lay_in(held, expected)}"]
        hold = length_words(forecast.gauge.hold_mm, units)
        texts.append(f"Of its {left}, the last {hold} are too short to knot with; the knots to come take {needs}.")
    return [*texts, *_used(forecast.used_so_far(string, hung.mm, hung.done), units)]


def _beginning(text: str) -> str:
    return text[0].upper() + text[1:]


def _lay_in(held: OpenPiece, expected: Expected) -> str:
    if expected.lay_in is None:
        return "Until then it makes every knot, so a new one will show where it begins."
    return f"Lay in a new one by {tied_knot(held, expected.lay_in)}, where it is carried and the join hidden."


def _used(used: Used | None, units: str) -> list[str]:
    """What the piece really uses, and whether that counts for other strings."""
    if used is None or used.expected_mm <= 0:
        return []
    real, expected = length_words(max(0.0, used.used_mm), units), length_words(used.expected_mm, units)
    if not used.is_believed:
        return [f"By what was cut it used {real}, the gauge expects {expected}: not counted for other strings."]
    return [f"So far it used {real}, the gauge expects {expected}: counted for all strings."]


def _new_one(held: OpenPiece, forecast: Forecast, string: int, units: str) -> Dialogue[str]:
    """Asks where the new string was laid in, how long it was cut, and from what, and lets it take over.

    It takes over where it was to be laid in, if that knot is tied and nothing else is said, else now.
    """
    gauge = forecast.gauge
    tail = length_words(gauge.tail_mm, units)
    heading = f"NEW {string_called(held, string)}".upper()
    step = forecast.was_laid_in(held, string)
    if step is not None and step != held.progress.history[-1]:
        where = yield from choose(Choose(heading, WHERE, [tied_knot(held, step), JUST_NOW], leaves="back"))
        if where is None:
            return ""
        step = step if where == 0 else None
    done = held.progress.done if step is None else held.progress.history.index(step) + 1
    needed = forecast.for_a_new_one(string, forecast.within(done))

    def doubt(mm: float) -> str | None:
        if mm > gauge.tail_mm:
            return None
        return f"{length_words(mm, units)}? The end that is laid in takes {tail}."

    begins = where_new_one_begins(held, string, units)
    texts = [
        f"How long was it cut, in all? {length_words(needed, units)} is enough."
        f"{'' if step is None else f' It counts from {tied_knot(held, step)}.'} An end of {tail} stays at the back.",
        *([f"{_beginning(begins)}."] if begins else []),
    ]
    asked = typed_numbers.length(heading, "length", "cut", units, texts, doubt=doubt)
    words = length_words(needed, units)
    while True:
        typed: Typed = yield from number(Number(asked, WISHES, words))
        if typed.wish is not Wish.TAKE:
            return ""
        words = length_words(typed.number, units)
        hangs = max(0.0, typed.number - gauge.tail_mm)
        try:
            threads = threads_for(held, string, typed.number)
            thread = yield from _from_what(threads, units)
            if thread is None:
                continue
            held.join(string, hangs, typed.number, done=done, thread=thread or None)
        except NotSaved as error:
            yield Say(str(error), refused=True)
            continue
        return (yield from _found(held, string, units))


def _from_what(threads: Sequence[BoxThread], units: str) -> Dialogue[int | None]:
    """From which thread of the box a length was cut: its number, 0 for none; None for back."""
    if not threads:
        return 0
    choices = [f"{thread.sort} {thread.name}, {length_words(thread.mm, units)}" for thread in threads]
    chosen = yield from choose(Choose("CUT FROM", "What did you cut it from?", [*choices, NOT_FROM_BOX]))
    if chosen is None:
        return None
    return threads[chosen].number if chosen < len(threads) else 0
