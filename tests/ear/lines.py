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
_OUT = re.compile(rf"take out (?P<knot>{_KNOT}), (?P<colour>.+?) over (?P<over>.+?), (?P<back>.+); row \d+(; .*)?")
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
    """Takes out a knot: the last one of two such strings, which hang where it left them."""
    match = _OUT.fullmatch(step)
    understood(match, step)
    assert match
    kind = CHART[match["knot"]]
    back = _BACK.fullmatch(match["back"])
    for made in reversed(band.made):
        left, right = made.left, made.left + 1
        places = (left, right) if STRINGS[kind][0] == 0 else (right, left)
        colours = (match["colour"], match["over"])
        if (made.kind, *_colours(band, made)) != (kind, *colours):
            continue
        if not back or (int(back["at"]), int(back["over_at"])) == places:
            band.take(made)
            return made
    raise AssertionError(f"{step!r}: there is no such knot")


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
