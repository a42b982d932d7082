"""Lengths as people read, hear and type them: in centimetres, or in inches to the nearest eighth."""

import re
from decimal import Decimal
from fractions import Fraction
from unicodedata import category, normalize

from benchmate.craft.wording.counting import counted

UNITS = ("cm", "inches")
"""The units to choose from; documents are always in mm."""
MM_IN_AN_INCH = 25.4
MM_IN_A_YARD = 914.4
_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_SPOKEN_EIGHTHS = (
    "",
    "an eighth",
    "a quarter",
    "3 eighths",
    "a half",
    "5 eighths",
    "3 quarters",
    "7 eighths",
)

_UNIT_MM = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 1.0),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), 10.0),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1000.0),
    **dict.fromkeys(("in", "inch", "inches", '"'), MM_IN_AN_INCH),
    **dict.fromkeys(("ft", "foot", "feet"), 12 * MM_IN_AN_INCH),
    **dict.fromkeys(("yd", "yard", "yards"), MM_IN_A_YARD),
}
_ALONE_MM = {"mm": 1.0, "cm": 10.0, "inches": MM_IN_AN_INCH}
"""What a number without a unit is in."""
_SMALLER_MM = {1000.0: 10.0, 12 * MM_IN_AN_INCH: MM_IN_AN_INCH, MM_IN_A_YARD: MM_IN_AN_INCH}
"""What a number after this unit is in where it has no unit of its own: `1 m 88`."""
_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}")
_FRACTION = r"[0-9]{1,4} ?/ ?[0-9]{1,4}"
_AMOUNT = rf"(?:[0-9]{{1,9}}(?: | ?- ?){_FRACTION}|{_FRACTION}|[0-9]{{1,9}}(?:[.,][0-9]{{1,9}})?|[.,][0-9]{{1,9}})"
_UNIT = r"[a-z]+|\""
_LENGTH = re.compile(
    rf"(?P<amount>{_AMOUNT}) ?(?P<unit>{_UNIT})?\.?(?: ?(?P<more>{_AMOUNT}) ?(?P<smaller>{_UNIT})?\.?)?"
)


def length_words(mm: float, units: str) -> str:
    """`94 cm`, `1 m 88 cm`, `16.5 cm`, `4 mm`; `37 in`, `6⅜ in`. From 1 cm to a metre, half a centimetre counts."""
    if units == "inches":
        whole, eighths = _inches(mm)
        return f"{whole or '' if eighths else whole}{_EIGHTHS[eighths]} in"
    metres, centimetres = _metres(mm)
    if metres:
        return f"{metres} m {centimetres:g} cm" if centimetres else f"{metres} m"
    return f"{_nearest(mm)} mm" if _nearest(mm) < 10 else f"{centimetres:g} cm"


def spoken_length_words(mm: float, units: str) -> str:
    """The same, as a voice says it: `1 metre 88`, `6 and 3 eighths inches`."""
    if units == "inches":
        whole, eighths = _inches(mm)
        if not eighths:
            return counted(whole, "inch", "inches")
        part = _SPOKEN_EIGHTHS[eighths]
        if not whole:
            return "half an inch" if eighths == 4 else f"{part} of an inch"
        return f"{whole} and {part} inches"
    metres, centimetres = _metres(mm)
    if metres:
        said = counted(metres, "metre")
        # `1 metre 5` could be heard as 1 metre 50.
        more = "" if not centimetres else f" {counted(int(centimetres), 'centimetre')}" if centimetres < 10 else ""
        return f"{said}{more}" if more or not centimetres else f"{said} {centimetres:g}"
    if _nearest(mm) < 10:
        return counted(_nearest(mm), "millimetre")
    if centimetres == int(centimetres):
        return counted(int(centimetres), "centimetre")
    return f"{int(centimetres)} and a half centimetres"


def fine_words(mm: float | Decimal, units: str) -> str:
    """`18.7 cm`, `1 m 8.5 cm`; to an eighth in inches. A wrist and a band are measured finer than a thread."""
    if units != "cm":
        return length_words(float(mm), units)
    metres, rest = divmod(round(float(mm)), 1000)
    cm = f"{rest / 10:.1f}".removesuffix(".0")
    return f"{metres} m {cm} cm" if metres and rest else f"{metres} m" if metres else f"{cm} cm"


def fine_spoken(mm: float, units: str) -> str:
    """The same, as a voice says it: `7.2 centimetres`; to an eighth in inches."""
    words = fine_words(mm, units)
    if units != "cm" or not words.endswith(" cm"):
        return spoken_length_words(mm, units)
    metres, _, rest = words.removesuffix(" cm").rpartition(" m ")
    before = f"{counted(int(metres), 'metre')} " if metres else ""
    return f"{before}{rest} {'centimetre' if rest == '1' else 'centimetres'}"


def total_words(mm: float, units: str) -> str:
    """Thread in all, for a look at what there is: `12.5 m`, `13.7 yards`; a short one as in `length_words`."""
    if mm < 1000:
        return length_words(mm, units)
    return f"{mm / MM_IN_A_YARD:.1f} yards" if units == "inches" else f"{mm / 1000:.1f} m"


def mm_of(text: str, units: str) -> float | None:
    """The length a person typed, mm: `16.5`, `16,5 cm`, `165 mm`, `1 m 88`, `6 3/8 in`; None for what is no length.

    A number alone is in `units`, which may be mm too.
    """
    found = _LENGTH.fullmatch(_plain(text))
    if found is None:
        return None
    unit = _unit_mm(found["unit"], _ALONE_MM[units])
    amount = _amount(found["amount"])
    if unit is None or amount is None:
        return None
    if found["more"] is None:
        return amount * unit
    # Only a whole number of a named unit can go before a part of a smaller one: `1.5 m 20` and `1 20` are no lengths.
    smaller = _unit_mm(found["smaller"], _SMALLER_MM.get(unit))
    more = _amount(found["more"])
    if found["unit"] is None or smaller is None or more is None or amount != int(amount):
        return None
    return amount * unit + more * smaller if more * smaller < unit else None


def number_of_mm(text: str) -> Decimal | None:
    """The number of mm that a file or a script gives, without a sign and a unit: `8000`, `16.5`, `.5`; else None."""
    return Decimal(text) if _NUMBER.fullmatch(text) else None


def _unit_mm(name: str | None, otherwise: float | None) -> float | None:
    return otherwise if name is None else _UNIT_MM.get(name)


def _plain(text: str) -> str:
    """The text in small letters and single spaces, with signs such as 3/8 in one written out, and inch marks as one."""
    apart = "".join(f" {each} " if category(each) == "No" else each for each in text)
    for mark in ("\N{DOUBLE PRIME}", "\N{RIGHT DOUBLE QUOTATION MARK}", "''"):
        apart = apart.replace(mark, '"')
    return " ".join(normalize("NFKC", apart).replace("\N{FRACTION SLASH}", "/").lower().split())


def _amount(text: str) -> float | None:
    """A decimal number with a point or a comma, a fraction, or a whole number and a fraction; None for n/0."""
    if "/" not in text:
        return float(text.replace(",", "."))
    before, below = text.split("/")
    *wholes, above = before.replace("-", " ").split()
    return float(sum(map(int, wholes)) + Fraction(int(above), int(below))) if int(below) else None


def _nearest(value: float) -> int:
    """The nearest whole number, a half upwards."""
    return int(value + 0.5)


def _inches(mm: float) -> tuple[int, int]:
    """Whole inches and eighths."""
    return divmod(_nearest(mm / MM_IN_AN_INCH * 8), 8)


def _metres(mm: float) -> tuple[int, float]:
    """Whole metres and centimetres; below a metre to half a centimetre, from a metre to a whole one."""
    halves = _nearest(mm / 5)
    return divmod(_nearest(mm / 10), 100) if halves >= 200 else (0, halves / 2)
