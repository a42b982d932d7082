"""Swatches: what to knot, what to measure of it, and what that says of a gauge."""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.thread import plausible
from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.observations import ALPHA_ROWS, ROWS, WIDE, Measured, Seen, Used
from benchmate.craft.wording.gauge_words import NUMBERS, small_words
from benchmate.craft.wording.length_words import length_words
from benchmate.piece_questions import typed_numbers
from benchmate.piece_questions.typed_numbers import Asked

HEADING = "SWATCH"
NOTHING_KEPT = "Nothing was kept."
FEWEST, MOST = 6, 60
"""The knots that a swatch usually has."""


class Swatch(NamedTuple):
    """A swatch: what it is, and what to do. One string makes `knots` knots, `line` of them over all the others at once.

    `counts` and `rows` are what that string does and how many rows there are after so many of its knots.
    """

    says: str
    does: Sequence[str]
    line: int
    knots: int
    side_by_side: int
    rows_are: str
    counts: Callable[[int], Counts]
    rows: Callable[[int], int]


def _stripe_counts(knots: int) -> Counts:
    return Counts(made=knots, carried=knots, waited=_stripe_rows(knots) - 2 * knots)


def _stripe_rows(knots: int) -> int:
    """Each of the four strings begins its line of three knots two rows after the one before."""
    return 2 * (4 * (knots // 3) - 1) + 3


SWATCHES = (
    Swatch(
        "one string back and forth over 5 others, 20 knots",
        (
            "Hang 6 strings. Knot with the first one only: over the other 5 to the right, then back over them to the "
            "left, until it has made 20 knots, 4 rows.",
            "What it used: measure it from the pin to its end before, and from the last knot to its end after. "
            "The difference is what to type.",
            "Measure the knots flat, not stretched: how wide the 5 are, how long the 4 rows.",
        ),
        5,
        20,
        5,
        ALPHA_ROWS,
        lambda knots: Counts(made=knots),
        lambda knots: knots // 5,
    ),
    Swatch(
        "a stripe of 4 strings, as in a band: 48 knots, 12 with one string",
        (
            "Hang 4 strings, the first in a colour of its own. The string at the left makes a forward knot over each "
            "of the other 3, then the next one at the left does, until all four have made 12 knots.",
            "What the first one used: measure it from the pin to its end before, and from the last knot to its end "
            "after. The difference is what to type.",
            "Measure the stripe flat, not stretched: how wide it is, how long its knots are from first to last.",
        ),
        3,
        12,
        2,
        ROWS,
        _stripe_counts,
        _stripe_rows,
    ),
)
"""What there is to choose from. The first one tells what a row of a picture takes, the second what a row of a band."""
KNOTS, USED, WIDE_MM, LONG = "knots", "used", "wide", "long"
ORDER = (KNOTS, USED, WIDE_MM, LONG)
"""The questions, in order."""


class Measuring:
    """A swatch of a kind of thread, and what was measured of it so far."""

    def __init__(self, swatch: Swatch, before: Estimate, units: str) -> None:
        """`before` is what is known of the thread."""
        self.swatch = swatch
        self.before = before
        self.units = units
        self.typed: dict[str, float] = {KNOTS: float(swatch.knots)}
        """The answers, by the questions."""

    @property
    def knots(self) -> int:
        """The knots that the string made."""
        return int(self.typed.get(KNOTS, self.swatch.knots))

    def ask(self, what: str) -> Asked:
        """What to ask."""
        number = f"{HEADING} {ORDER.index(what) + 1} of {len(ORDER)}"
        if what == KNOTS:
            return typed_numbers.count(number, "knots of one string", [], doubt=self._doubt_knots)
        questions = {
            USED: ("thread used", f"What did the string use for its {self.knots} knots?"),
            WIDE_MM: ("how wide", f"How wide are {self.swatch.side_by_side} knots side by side?"),
            LONG: ("how long", f"How long are the {self.swatch.rows(self.knots)} rows of knots?"),
        }
        question, text = questions[what]
        small, doubt = what != USED, lambda mm: self._doubt(what, mm)
        return typed_numbers.length(number, question, None, self.units, [text], doubt=doubt, small=small)

    def _doubt_knots(self, knots: float) -> str | None:
        if not FEWEST <= knots <= MOST:
            return f"{knots:.0f} knots? A swatch usually has {FEWEST} to {MOST} of one string."
        if int(knots) % self.swatch.line:
            return f"{knots:.0f} knots? Whole lines of {self.swatch.line} measure better."
        return None

    def _doubt(self, what: str, mm: float) -> str | None:
        called = f"The thread of {self.knots} knots" if what == USED else "Such a swatch"
        says = length_words if what == USED else small_words
        expected = plausible.expected_mm(self.before, self._seen(what, mm))
        return plausible.question_beside(called, mm, expected, plausible.SWATCH, lambda mm: says(mm, self.units))

    def _seen(self, what: str, mm: float) -> Seen:
        """What an answer says of the gauge."""
        swatch = self.swatch
        if what == USED:
            return Used(swatch.counts(self.knots), mm)
        if what == WIDE_MM:
            return Measured(WIDE, swatch.side_by_side, mm)
        return Measured(swatch.rows_are, max(1, swatch.rows(self.knots)), mm)

    def seen(self) -> list[Seen]:
        """What the answers say of the gauge."""
        return [self._seen(what, self.typed[what]) for what in (USED, WIDE_MM, LONG) if what in self.typed]

    def changes(self, after: Estimate) -> list[str]:
        """Each number of the gauge that changes, before and after."""
        found = []
        for field, says in NUMBERS.items():
            old, new = (small_words(getattr(each.gauge, field), self.units) for each in (self.before, after))
            if old != new:
                found.append(f"{says}: {old} → {new}")
        return found or ["the gauge stays as it is"]

    @property
    def answers(self) -> Mapping[str, str]:
        """Each question in a few words, with what was answered."""
        found = {KNOTS: f"knots of one string: {self.knots}"}
        says = {USED: "thread used", WIDE_MM: "how wide", LONG: "how long"}
        for what, words in says.items():
            found[what] = f"{words}: {self.ask(what).words(self.typed[what]) if what in self.typed else 'skipped'}"
        return found
