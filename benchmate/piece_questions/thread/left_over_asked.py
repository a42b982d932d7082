"""The questions about what was left of the strings of a finished piece, and how long its band is."""

from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import fine_words, length_words
from benchmate.craft.wording.prompt_parts import Detail, position
from benchmate.piece_questions import typed_numbers
from benchmate.piece_questions.thread.cut_strings import String
from benchmate.piece_questions.thread.left_over import LeftOver
from benchmate.piece_questions.typed_numbers import Asked

NOT_KEPT = "The length is by today's cut list: what was cut was not kept."
HEADING = "LEFT OVER"


def ask_left(told: LeftOver, at: int, number: int) -> Asked:
    """What was left of the string at this place, question `number`."""
    string = told.strings[at]
    return typed_numbers.length(
        f"{HEADING} {number} of {len(told.places)}, {length_words(told.cut_mm(at), told.units)} cut",
        string.called,
        "left",
        told.units,
        [
            *_where_it_hangs(told, string),
            _how_to_measure(told, string),
            *([] if told.was.known or number > 1 else [NOT_KEPT]),
        ],
        doubt=lambda mm: _doubt(told, at, mm),
    )._replace(impossible=lambda mm: _impossible(told, at, mm))


def ask_cut(told: LeftOver, at: int) -> Asked:
    """How long the string at this place was cut."""
    texts = [f"How long was it cut? So far: {length_words(told.cut_mm(at), told.units)}."]
    return typed_numbers.length("LENGTH CUT", told.strings[at].called, "cut", told.units, texts)


def ask_band(told: LeftOver) -> Asked:
    """How long the band came out."""
    texts = [f"How long is the band? Measure its {counted(told.rows, 'row')}, without ties and loop."]
    return typed_numbers.length("BAND", "band length", None, told.units, texts, doubt=lambda mm: _doubt_band(told, mm))


def _where_it_hangs(told: LeftOver, string: String) -> list[str]:
    """`It hangs third from the left now.`, in a band; after a finish `It hung third from the left.`"""
    places = told.was.hangs_at(string.length)
    if not places:
        return []
    called = " and ".join("in the middle" if 2 * at == of + 1 else position(at, of, Detail.FULL) for at, of in places)
    it, hang = ("It", "hangs") if len(places) == 1 else ("They", "hang")
    return [f"{it} hung {called}." if told.was.finish_worked else f"{it} {hang} {called} now."]


def _how_to_measure(told: LeftOver, string: String) -> str:
    both = " Both ends together." if len(string.length.strings) > 1 else ""
    if string.length.leading is not None:
        tail = length_words(told.was.listed.gauge.tail_mm, told.units)
        return f"What was left? Measure the end beyond its tail of {tail}."
    if told.was.finish_worked:
        return f"What was left? Measure the end cut off after the finish.{both}"
    if told.was.hangs_at(string.length):
        # Where it hangs stands before this, and both have to be read in a small window.
        return f"Measure from the last knot to the end.{both}"
    begins = "the last knot" if told.was.teaches else "the braid"
    return f"What is left? Measure from {begins} to the end.{both}"


def _impossible(told: LeftOver, at: int, left_mm: float) -> str | None:
    if left_mm < told.cut_mm(at):
        return None
    left, cut = fine_words(left_mm, told.units), length_words(told.cut_mm(at), told.units)
    return f"{left} cannot be left: {cut} was cut. If more was cut, correct that first."


def _doubt(told: LeftOver, at: int, left_mm: float) -> str | None:
    left = fine_words(left_mm, told.units)
    if told.strings[at].used_mm(told.cut_mm(at), left_mm) <= 0:
        return f"{left}? That leaves nothing for the {'knots' if told.was.teaches else 'braid'}."
    return None


def _doubt_band(told: LeftOver, mm: float) -> str | None:
    if not told.unusual_band(mm):
        return None
    expected = told.was.listed.band_mm
    return f"{fine_words(mm, told.units)}? By the gauge it is about {length_words(expected, told.units)}."
