"""A maker who cuts by ear or by the lines of plain mode: how long each length is, its colour, and what it is for."""

import re
from typing import NamedTuple

from tests.ear.phrases import one_of, understood

_MM_IN_AN_INCH = 25.4
_EIGHTHS = {
    "an eighth": 1,
    "a quarter": 2,
    "3 eighths": 3,
    "a half": 4,
    "5 eighths": 5,
    "3 quarters": 6,
    "7 eighths": 7,
}
_SIGNS = {"⅛": 1, "¼": 2, "⅜": 3, "½": 4, "⅝": 5, "¾": 6, "⅞": 7}
_METRES = re.compile(r"(?P<metres>\d+) metres?( (?P<more>\d\d)|( (?P<few>\d) centimetres?))?")
_CENTIMETRES = re.compile(r"(?P<cm>\d+)(?P<half> and a half)?( centimetres?)?")
_INCHES = re.compile(rf"(?P<inches>\d+)( and (?P<part>{one_of(list(_EIGHTHS))}))?( inch(es)?)?")
_READ = re.compile(r"((?P<metres>\d+) m)?( ?(?P<cm>\d+(\.5)?) cm)?")
_READ_INCHES = re.compile(rf"(?P<inches>\d+)?(?P<part>[{''.join(_SIGNS)}])? in")
_FOR = re.compile(
    r"(?P<what>base strings?|strings?|(the )?(strands? in )?slots?) (?P<first>\d+)( and (?P<second>\d+))?"
)
_LEADING = re.compile(r"leading string (?P<leading>\d+)")
_FIRST_USED = re.compile(r"first used in row (?P<row>\d+)")
_FOLD = re.compile(r"folded (?P<long>.+) from one end")
_LONG_END = re.compile(r"the long end is (base )?(string|slot) (?P<string>\d+)")
_SHORT_END = re.compile(r"the short one (base )?(string|slot) (?P<string>\d+)")
_COUNT = re.compile(r"length (?P<number>\d+) of (?P<of>\d+)")


class ToCut(NamedTuple):
    """A length as it was understood; what was not said is 0, empty or None.

    `kind` is `string`, `base string`, `slot` or `leading string`. `row` is that in which a leading string is first
    used. `fold` is how far from one end it is folded, mm; of its strings the first is that end then.
    """

    colour: str
    mm: float
    kind: str = ""
    numbers: tuple[int, ...] = ()
    folded: bool = False
    row: int = 0
    fold: float = 0.0
    number: int = 0
    of: int = 0
    rest: tuple[str, ...] = ()


def heard(words: str, colours: list[str], units: str) -> ToCut:
    """The length that is said to a maker who works in these units; raises NotUnderstood where it is none."""
    words = words.removeprefix("cut the lengths: ")
    colour = next((name for name in sorted(colours, key=len, reverse=True) if words.startswith(f"{name}, ")), "")
    understood(colour, words, "no colour")
    long, *phrases = words.removeprefix(f"{colour}, ").split(", ")
    return _with(ToCut(colour, _spoken_mm(long, units)), phrases, words, units)


def read(line: str, colours: list[str]) -> ToCut:
    """The length on a line of plain mode."""
    understood(line.startswith("cut: "), line)
    words = line.removeprefix("cut: ")
    colour = next((name for name in sorted(colours, key=len, reverse=True) if words.startswith(f"{name}, ")), "")
    understood(colour, line, "no colour")
    long, _, rest = words.removeprefix(f"{colour}, ").partition(", ")
    phrases = [part for each in rest.split("; ") for part in re.split(r", |(?<=one end): ", each)]
    return _with(ToCut(colour, _read_mm(long)), phrases, line, "")


def _with(found: ToCut, phrases: list[str], words: str, units: str) -> ToCut:
    """The length with what the phrases say of it, in any order; without `units` they are read."""
    rest = []
    for phrase in phrases:
        if phrase == "folded":
            found = found._replace(folded=True)
            continue
        if match := _FOLD.fullmatch(phrase):
            long = match["long"]
            found = found._replace(folded=True, fold=_spoken_mm(long, units) if units else _read_mm(long))
            continue
        for before in ("folded: ", "folded ", "for "):
            if phrase.startswith(before):
                found = found._replace(folded=found.folded or before != "for ")
                phrase = phrase.removeprefix(before)
        if match := _LEADING.fullmatch(phrase):
            found = found._replace(kind="leading string", numbers=(int(match["leading"]),))
        elif match := _FOR.fullmatch(phrase):
            numbers = tuple(int(match[name]) for name in ("first", "second") if match[name])
            understood((len(numbers) > 1) == match["what"].endswith("s"), words, "one or two?")
            understood(len(numbers) > 1 or not found.folded, words, "what is folded?")
            # One length for two strings is folded, whether or not that is said.
            found = found._replace(kind=_kind(match["what"]), numbers=numbers, folded=len(numbers) > 1)
        elif match := _FIRST_USED.fullmatch(phrase):
            found = found._replace(row=int(match["row"]))
        elif match := _LONG_END.fullmatch(phrase):
            found = found._replace(kind=_kind(phrase), numbers=(int(match["string"]),))
        elif match := _SHORT_END.fullmatch(phrase):
            found = found._replace(numbers=(*found.numbers, int(match["string"])))
        elif match := _COUNT.fullmatch(phrase):
            found = found._replace(number=int(match["number"]), of=int(match["of"]))
        else:
            rest.append(phrase)
    return found._replace(rest=tuple(rest))


def _kind(phrase: str) -> str:
    return next(one for one in ("base string", "string", "slot") if one in phrase)


def _spoken_mm(long: str, units: str) -> float:
    if match := _METRES.fullmatch(long):
        return 1000.0 * int(match["metres"]) + 10.0 * int(match["more"] or match["few"] or 0)
    if (match := _CENTIMETRES.fullmatch(long)) and units == "cm":
        return 10.0 * int(match["cm"]) + 5.0 * bool(match["half"])
    match = _INCHES.fullmatch(long)
    understood(match, long, "no length")
    assert match
    return _MM_IN_AN_INCH * (int(match["inches"]) + _EIGHTHS.get(match["part"] or "", 0) / 8)


def _read_mm(long: str) -> float:
    if match := _READ_INCHES.fullmatch(long):
        return _MM_IN_AN_INCH * (int(match["inches"] or 0) + _SIGNS.get(match["part"] or "", 0) / 8)
    match = _READ.fullmatch(long)
    understood(match and long, long, "no length")
    assert match
    return 1000.0 * int(match["metres"] or 0) + 10.0 * float(match["cm"] or 0)
