"""What was left of the strings of a finished piece: the answers, what they mean, and keeping it."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.thread.cut_list import StringCut, rounded_up
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.observations import ALPHA_ROWS, ROWS, Measured, Seen
from benchmate.craft.thread.plausible import cannot_be
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.gauge_words import rests_on
from benchmate.craft.wording.length_words import length_words
from benchmate.piece_questions.thread.cut_strings import CutStrings, String
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.gauges import estimate_of, record
from benchmate.store.thread.measurements_kept import Left

FAR_OFF = 0.25
"""A string that used more or less than expected by more than this share is far off, unless the gauge varies more."""
FAR_OFF_BAND = 0.4
"""The same of the length of the band."""
FAR = ". This one is far off: is it right?"
BAND = -1
"""The place of the question about the band, after those of the strings."""


class Kept(NamedTuple):
    """What was kept: its number, to take it back, and what changed by it, in a line."""

    number: int
    says: str


class LeftOver:
    """The answers about one piece, until they are kept."""

    def __init__(self, held: OpenPiece, units: str) -> None:
        """`held` is a piece that has lengths. Raises StoreError."""
        assert held.piece is not None
        self._held = held
        self._piece = held.piece
        self.units = units
        self.was = CutStrings(held)
        """What was cut for it."""
        self.strings = self.was.strings
        self.sampled = self.was.sample()
        """The places of the strings to ask about first."""
        self.left: dict[int, float] = {}
        """What was left of strings, by their places."""
        self.cut: dict[int, float] = {}
        """What was cut for them, where that was corrected."""
        self.band_mm: float | None = None

    # What is asked

    @property
    def rows(self) -> int:
        """The rows of the band."""
        return self._held.whole.main.work.rows

    @property
    def places(self) -> list[int]:
        """All that is asked, in order: strings by their places, then the band where something is learned of it."""
        return [*self.sampled, *([BAND] if self.was.teaches else [])]

    @property
    def after_strings(self) -> int:
        """Where the questions go on when the other strings are skipped."""
        return len(self.sampled)

    @property
    def not_asked(self) -> list[int]:
        """The places of the strings that were not asked about."""
        return [at for at in range(len(self.strings)) if at not in self.sampled]

    def ask_all(self) -> None:
        """Asks about every string from now on."""
        self.sampled += self.not_asked

    def cut_mm(self, at: int) -> float:
        """How long a string was cut."""
        return self.cut.get(at, self.strings[at].length.cut_mm)

    def answer(self, at: int, mm: float | None) -> None:
        """What was left of the string at this place, or how long the band is; None takes the answer back."""
        if at == BAND:
            self.band_mm = mm
        elif mm is None:
            self.left.pop(at, None)
        else:
            self.left[at] = mm

    # What the answers mean

    @property
    def nothing_told(self) -> bool:
        """Whether no question has an answer."""
        return not self.left and self.band_mm is None

    @property
    def told(self) -> list[int]:
        """The places of the strings that have an answer, those that are far off first."""
        return sorted(self.left, key=lambda at: (not self.far_off(at), at))

    def used_mm(self, at: int) -> float | None:
        """What the knots of a string used; None where that has no answer."""
        left = self.left.get(at)
        return None if left is None else self.strings[at].used_mm(self.cut_mm(at), left)

    def far_off(self, at: int) -> bool:
        """Whether the answer about a string is far from what was expected; never where that is an estimate."""
        used, string = self.used_mm(at), self.strings[at]
        if used is None or not self.was.teaches:
            return False
        return abs(used - string.expected_mm) > max(2 * string.spare_mm, FAR_OFF * string.expected_mm)

    @property
    def any_far_off(self) -> bool:
        """Whether an answer is far off."""
        return self.band_far_off or any(self.far_off(at) for at in self.left)

    @property
    def band_far_off(self) -> bool:
        """Whether the length of the band is far from what was expected."""
        return self.band_mm is not None and self.unusual_band(self.band_mm)

    def unusual_band(self, mm: float) -> bool:
        """Whether a length is far from what the rows come to by the gauge."""
        expected = self.was.listed.band_mm
        return abs(mm - expected) > FAR_OFF_BAND * expected

    def _can_be(self, at: int, used_mm: float) -> bool:
        """Whether the knots of a string can have used so much."""
        if used_mm <= 0 or not self.was.teaches:
            return used_mm > 0
        return cannot_be(self.was.estimate, self.strings[at].seen(used_mm)) is None

    def seen(self, *, without_far_off: bool = False) -> list[Seen]:
        """What the answers say of the gauge."""
        found: list[Seen] = []
        if not self.was.teaches:
            return found
        for at in sorted(self.left):
            used = self.used_mm(at)
            if used is not None and self._can_be(at, used) and not (without_far_off and self.far_off(at)):
                found.append(self.strings[at].seen(used))
        if self.band_mm is not None and not (without_far_off and self.band_far_off):
            found.append(Measured(ALPHA_ROWS if self.was.listed.leading else ROWS, self.rows, self.band_mm))
        return found

    def ends(self, *, without_far_off: bool = False) -> list[Left]:
        """What is left of the lengths to be used again, as far as the answers can be right.

        Where the finish is not worked yet, the ends have its thread still.
        """
        found = []
        for at in sorted({*self.left, *self.cut}):
            length, used = self.strings[at].length, self.used_mm(at)
            rest = None
            if used is not None and used > 0 and not (without_far_off and self.far_off(at)):
                finish = 0.0 if self.was.finish_worked or length.leading is not None else self.was.ends_mm[1]
                rest = max(0.0, self.left[at] / max(1, len(length.strings)) - finish)
            found.append(Left(length._replace(cut_mm=self.cut_mm(at)), rest))
        return found

    # In words

    @property
    def keep_words(self) -> str:
        """What keeping the answers is called."""
        return f"keep it, for {self.was.gauge if self.was.teaches else 'your box'}"

    def says(self, at: int) -> str:
        """The answer about a string, in a line."""
        used, string = self.used_mm(at), self.strings[at]
        if used is None:
            return f"{string.called}: skipped"
        expected = f"expected {length_words(string.expected_mm, self.units)}"
        if not self._can_be(at, used):
            nothing = f"nothing left for the {'knots' if self.was.teaches else 'braid'}"
            impossible = f"used {length_words(used, self.units)}" if used > 0 else nothing
            return f"{string.called}: {impossible}, {expected}. Not counted"
        far = FAR if self.far_off(at) else ""
        return f"{string.called}: used {length_words(used, self.units)}, {expected}{far}"

    @property
    def band_says(self) -> str:
        """How long the band is, in a line."""
        if self.band_mm is None:
            return "length of the band: skipped"
        expected = length_words(self.was.listed.band_mm, self.units)
        far = FAR if self.band_far_off else ""
        return f"length of the band: {length_words(self.band_mm, self.units)}, expected {expected}{far}"

    # Keeping it

    def keep(self, *, without_far_off: bool = False) -> Kept | None:
        """Keeps all of it, or nothing; None where there is nothing to keep. Raises StoreError."""
        seen = self.seen(without_far_off=without_far_off)
        ends = self.ends(without_far_off=without_far_off)
        if not seen and all(end.rest_mm is None for end in ends):
            return None
        database, gauge = self._held.database, self.was.gauge
        number = record(database, gauge, seen, piece=self._piece, left=ends)
        if not self.was.teaches:
            return Kept(number, f"Kept, for your box: what was left of {counted(len(self.left), 'strand')}.")
        after = estimate_of(database.home, gauge) or self.was.estimate
        return Kept(number, " ".join([f"Kept. {gauge}: {rests_on(after)}.", *self._next_cut(after)]))

    def _next_cut(self, after: Estimate) -> list[str]:
        """How long to cut the hardest-working string next time, where that is another length."""
        if not self.left:
            return []
        string = self.strings[min(self.left)]
        cut = self._cut_next(string, after)
        if cut is None or cut == string.length.cut_mm:
            return []
        before, now = (length_words(mm, self.units) for mm in (string.length.cut_mm, cut))
        return [f"{string.called}: next time cut {now} (was {before})."]

    def _cut_next(self, string: String, after: Estimate) -> float | None:
        if string.counts is None:
            return None
        if string.length.leading is not None:
            return _rounded_up(after, [string], string.ends_mm)
        each = [found for found in self.was.listed.strings if found.string in string.length.strings]
        return _rounded_up(after, each, sum(self.was.ends_mm))


def _rounded_up(after: Estimate, strings: Sequence[String | StringCut], ends_mm: float) -> float:
    """What to cut for these strings."""
    return sum(
        rounded_up(after.needs_mm(each.counts) + after.spare_mm(each.counts) + ends_mm)
        for each in strings
        if each.counts is not None
    )
