"""Which lengths are usual, so that one typed by mistake is asked about before it is taken, and which cannot be.

Wrists: from a mean of 100 mm at three years (children's growth tables) to 216 mm, the widest of 6068 adults (ANSUR II,
2012). Ease and skein: common practice. The rest: common practice, with room for bookmarks and keyrings.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import THICKNESS
from benchmate.craft.thread.observations import ALPHA_ROWS, BASE, ROWS, WIDE, Measured, Seen, Used
from benchmate.craft.wording.length_words import fine_words, length_words


class Usual(NamedTuple):
    """A kind of length: what it is called, the range that is usual, and how far a length may go unasked, mm."""

    called: str
    low: float
    high: float
    least: float
    most: float
    zero: bool = False
    """Whether there may be none of it."""


USUAL: Mapping[str, Usual] = {
    "wrist": Usual("A wrist", 100, 220, 95, 225),
    "band": Usual("A band", 140, 180, 50, 400),
    "so far": Usual("A band in work", 10, 180, 3, 400),
    "cut": Usual("A string", 400, 1500, 150, 6000),
    "left": Usual("What is left of a string", 50, 400, 0, 1500, zero=True),
    "hanging": Usual("What hangs of a string", 20, 1500, 0, 6000, zero=True),
    "skein": Usual("A skein", 5000, 12000, 1000, 30_000),
    "offcut": Usual("An offcut", 100, 4000, 30, 12_000),
    "ends": Usual("An end too short to use", 150, 400, 20, 1500),
    "ease": Usual("Ease", 10, 20, 0, 60, zero=True),
    "gap": Usual("The gap of a closure", 0, 40, 0, 100, zero=True),
}
"""Every kind of length that a person types, by its name."""


THIN, THICK = 0.2, 3.0
"""The thickness that a thread for knotting usually has, mm."""


class Share(NamedTuple):
    """How many times what a gauge expects, or how small a part of it, is usual, and from where on it is asked about."""

    usual: float
    asked: float


SWATCH = Share(1.4, 3.0)
"""Of a swatch, which is small, in a thread that may not have been measured before."""
STRING = Share(1.4, 2.5)
"""Of a string of a piece."""
BAND = Share(1.3, 1.8)
"""Of a band."""
MOST_TIMES = 20
"""Nothing measured can be over so many times what the gauge expects, or under that part of it."""
CONSTANT = {ROWS: "row_mm", ALPHA_ROWS: "base_mm", BASE: "base_mm", WIDE: "wide_mm"}
"""The number of a gauge that a length teaches, by what was measured."""


def may_be_none(what: str) -> bool:
    """Whether a length of this kind may be 0."""
    return USUAL[what].zero


def question(what: str, mm: float, units: str = "cm") -> str | None:
    """What to ask about a length that is far from usual: `170 cm? A wrist is usually 10 cm to 22 cm.`; else None."""
    called, low, high, least, most, _ = USUAL[what]
    if least <= mm <= most:
        return None
    return _unusual(called, mm, low, high, lambda mm: (fine_words if 10 <= mm < 1000 else length_words)(mm, units))


def question_beside(
    called: str, mm: float, expected_mm: float, share: Share, words: Callable[[float], str]
) -> str | None:
    """What to ask about a measure that is far from what a gauge expects; `words` says a length."""
    if expected_mm / share.asked <= mm <= expected_mm * share.asked:
        return None
    return _unusual(called, mm, expected_mm / share.usual, expected_mm * share.usual, words)


def thickness_question(mm: float, typed: str) -> str | None:
    """What to ask about the thickness that follows from what was typed."""
    if THIN <= mm <= THICK:
        return None
    return f"{typed}? The thread would be {mm:.2f} mm thick; floss is {THICKNESS:g} mm."


def _unusual(called: str, mm: float, low: float, high: float, words: Callable[[float], str]) -> str:
    between = f"{words(low)} to {words(high)}" if low > 0 else f"up to {words(high)}"
    return f"{words(mm)}? {called} is usually {between}."


def expected_mm(estimate: Estimate, seen: Seen) -> float:
    """What a gauge expects of something measured, mm."""
    if isinstance(seen, Measured):
        return seen.units * float(getattr(estimate.gauge, CONSTANT[seen.what]))
    return estimate.needs_mm(seen.counts)


def cannot_be(estimate: Estimate, seen: Seen) -> str | None:
    """Why what somebody says they measured cannot be at all, by what the gauge expects; None when it can."""
    if min(seen.counts) < 0 if isinstance(seen, Used) else seen.units < 0:
        return "a count below 0"
    expected = expected_mm(estimate, seen)
    if expected == 0:
        return "nothing was counted"
    if not expected / MOST_TIMES <= seen.mm <= expected * MOST_TIMES:
        return (
            f"the gauge expects about {expected:.0f} mm" if expected >= 10 else f"the gauge expects {expected:.2g} mm"
        )
    return None
