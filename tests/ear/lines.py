"""A maker who reads the step lines of plain mode, one after the other, and nothing else."""

import re
from typing import NamedTuple

from tests.ear.diagonal import STRINGS, SWAPS, Band, Made
from tests.ear.phrases import CHART, ORDINALS, one_of, understood
from tests.ear.picture import Picture, PictureKnot

_LINE = re.compile(r"(?P<n>\d+)/(?P<of>\d+) (?P<step>.*)")
_KNOT = one_of(list(CHART))
_CROSSED = re.compile(
    rf"(?P<knot>{_KNOT}), (?P<at>\d+) (?P<colour>.+) over (?P<over_at>\d+) (?P<over>.+?), (?P<outcome>.+); "
    r"row \d+(; .*)?"
)
_HANGS = re.compile(r"then (?P<colour>.+) hangs at (?P<at>\d+), (?P<over>.+) at (?P<over_at>\d+)")
_OUT = re.compile(
    rf"take out (?P<knot>{_KNOT}), (?P<at>\d+) (?P<colour>.+) over (?P<over_at>\d+) (?P<over>.+?), (?P<back>.+); "
    r"row \d+(; .*)?"
)
_OUT_AT = re.compile(
    rf"take out (?P<knot>{_KNOT}), (?P<at>\d+) over (?P<over_at>\d+), "
    r"(?P<back>they change back|each stays on its side); row \d+(; .*)?"
)
_OUT_WRONG = re.compile(
    r"take out the wrong knot of string (?P<left>\d+) and string (?P<right>\d+), unless it was left out; row \d+(; .*)?"
)
_BACK = re.compile(r"(?P<colour>.+) goes back to (?P<at>\d+), (?P<over>.+) to (?P<over_at>\d+)")
_OF_PICTURE = re.compile(
    rf"((?P<first>.+); then )?(?P<knot>{_KNOT}), (?P<colour>.+) over (?P<over>\d+); row (?P<row>\d+), "
    r"column (?P<column>\d+)(; .*)?"
)
_COLUMN = re.compile(r"(from|at) column (?P<column>\d+)(?P<row> in row \d+)?( \((?P<far>\d+ \w+)( up)?\))?")


class Read(NamedTuple):
    """A step line: the step's place in working order, of how many, and the rest of the line."""

    n: int
    of: int
    step: str


def read(line: str) -> Read | None:
    """The step line; None for any other line."""
    match = _LINE.fullmatch(line)
    return Read(int(match["n"]), int(match["of"]), match["step"]) if match else None


def knot_of_band(band: Band, step: str) -> Made:
    """The knot to tie, checked against the strings as they hang."""
    match = _CROSSED.fullmatch(step)
    understood(match, step)
    assert match
    at, over_at, kind = int(match["at"]), int(match["over_at"]), CHART[match["knot"]]
    understood(abs(at - over_at) == 1 and max(at, over_at) <= len(band.hanging), step, "they are no neighbours")
    understood((at < over_at) == (STRINGS[kind][0] == 0), step, "the kind is for the other string")
    made = Made(min(at, over_at), kind, band.hanging[at - 1], band.hanging[over_at - 1])
    _same_colours(band, made, match["colour"], match["over"], step)
    hangs = _HANGS.fullmatch(match["outcome"])
    alike = match["colour"] == match["over"]
    if hangs:
        understood(
            (int(hangs["at"]), int(hangs["over_at"])) == (over_at, at) and kind in SWAPS, step, "it hangs elsewhere"
        )
        _same_colours(band, made, hangs["colour"], hangs["over"], step)
    else:
        wanted = "they change places" if alike and kind in SWAPS else "each stays on its side"
        understood(match["outcome"] == wanted, step)
    return made


def knot_out_of_band(band: Band, step: str) -> Made:
    """Takes out a knot: the last one at its two strings, which hang where it left them."""
    made = _out_by_place(band, step) or _out_in_colours(band, step)
    band.take(made)
    return made


def _out_in_colours(band: Band, step: str) -> Made:
    match = _OUT.fullmatch(step)
    understood(match, step)
    assert match
    at, over_at, kind = int(match["at"]), int(match["over_at"]), CHART[match["knot"]]
    made = _hung_there(band, at, over_at, kind, step)
    _same_colours(band, made, match["colour"], match["over"], step)
    back = _BACK.fullmatch(match["back"])
    if back:
        goes_back = int(back["at"]), int(back["over_at"])
        understood(kind in SWAPS and goes_back == (over_at, at), step, "they go back elsewhere")
        _same_colours(band, made, back["colour"], back["over"], step)
    else:
        wanted = "they change back" if kind in SWAPS else "each stays on its side"
        understood(match["back"] == wanted, step, "it goes back otherwise")
    return made


def _out_by_place(band: Band, step: str) -> Made | None:
    """The knot to take out where its colours are not said, because nobody knows how the wrong one was made."""
    wrong = _OUT_WRONG.fullmatch(step)
    if wrong:
        return band.wrong_one(int(wrong["left"]), int(wrong["right"]), step)
    match = _OUT_AT.fullmatch(step)
    if not match:
        return None
    at, over_at, kind = int(match["at"]), int(match["over_at"]), CHART[match["knot"]]
    understood((match["back"] == "they change back") == (kind in SWAPS), step, "it goes back otherwise")
    return _hung_there(band, at, over_at, kind, step)


def _hung_there(band: Band, at: int, over_at: int, kind: str, step: str) -> Made:
    """The knot made last at a pair: of this kind, its strings still where it left them."""
    made = band.wrong_one(min(at, over_at), max(at, over_at), step)
    understood(made.kind == kind, step, "it is another knot")
    hangs = band.hanging[at - 1], band.hanging[over_at - 1]
    understood(hangs == (made.knotting, made.passive), step, "they hang elsewhere")
    return made


def knot_of_picture(picture: Picture, step: str) -> PictureKnot:
    """The knot to tie, checked against the leading strings as they hang."""
    match = _OF_PICTURE.fullmatch(step)
    understood(match, step)
    assert match
    phrases = ["turn"] if picture.made and not picture.made_in_row else []
    taken, _, cut = (match["first"] or "").partition("; ")
    if cut:
        phrases.append(cut.partition(" at column ")[0])
        if not phrases[-1].startswith("cut "):
            raise AssertionError(f"{step!r}: not understood")
    if taken:
        phrases.append(_prompted(picture, taken))
    (knot,) = picture.hears(", ".join([*phrases, match["knot"]]) if phrases else _goes_on(picture, match["knot"]))
    understood((knot.row, knot.column) == (int(match["row"]), int(match["column"])), step, "it is elsewhere")
    understood(int(match["over"]) == knot.column, step, "it is over another string")
    understood(picture.colour_of(knot.string) == match["colour"], step, "it is another colour")
    return knot


def _prompted(picture: Picture, taken: str) -> str:
    """How a string is taken in hand, as it is said by ear."""
    place = _COLUMN.search(taken)
    if not place:
        return taken
    first = re.sub(r"^(bring|pick up) the ", r"\1 ", taken[: place.start()]).rstrip()
    said = f"{first}, {_position(int(place['column']), picture.columns)}{place['row'] or ''}"
    if place["far"]:
        said += f", {place['far']} {'back' if 'row' in place['far'] else 'away'}"
    return said


def _position(at: int, of: int) -> str:
    words = {number: word for word, number in ORDINALS.items()}
    from_right = of - at + 1
    if at == from_right:
        return "the middle one"
    return f"{words[min(at, from_right)]} from the {'left' if at < from_right else 'right'}"


def _goes_on(picture: Picture, knot: str) -> str:
    """One more knot with the string in hand, as if no stretch had been announced."""
    return f"{picture.colour_of(picture.in_hand)}, {knot}"


def _colours(band: Band, made: Made) -> tuple[str, str]:
    return band.colours[made.knotting - 1], band.colours[made.passive - 1]


def _same_colours(band: Band, made: Made, colour: str, over: str, step: str) -> None:
    understood(_colours(band, made) == (colour, over), step, "other strings hang there")
