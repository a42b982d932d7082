"""How a band fits, in words: lengths to the millimetre, or to an eighth of an inch."""

from decimal import Decimal

from benchmate.craft.thread.fitting.fit import Fit
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import fine_words

JUST_RIGHT = "just as long as wanted"


def off_words(over: float | Decimal, units: str) -> str:
    """`4 mm longer than wanted`, `1.2 cm shorter than wanted`, `just as long as wanted`."""
    off = abs(float(over))
    if fine_words(off, units) == fine_words(0, units):
        return JUST_RIGHT
    length = f"{round(off)} mm" if units == "cm" and round(off) < 10 else fine_words(off, units)
    return f"{length} {'longer' if over > 0 else 'shorter'} than wanted"


def fit_words(fit: Fit, units: str) -> str:
    """`36 repeats, 144 rows: 18.7 cm, 2 mm longer than wanted`."""
    size = f"{counted(fit.repeats, 'repeat')}, {counted(fit.rows, 'row')}"
    return f"{size}: {fine_words(fit.length_mm, units)}, {off_words(fit.over_mm, units)}"


def beside_words(fit: Fit, units: str, *, more: bool) -> str:
    """How long it is with one repeat fewer, and with one more where that is possible; empty for neither."""
    others = [("fewer", fit.repeats - 1)] * (fit.repeats > 1) + [("more", fit.repeats + 1)] * more
    parts = [f"{fine_words(fit.with_repeats(count).length_mm, units)} with one {way}" for way, count in others]
    return " and ".join(parts)
