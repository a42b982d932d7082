"""How long a band is now, how long it is to be, and the rows and repeats that it takes to get there."""

from decimal import Decimal
from typing import NamedTuple

from benchmate.craft.thread.fitting.fit import CAUTION, EASE, band_for, exact, fit, nearest_count
from benchmate.craft.thread.observations import Measured
from benchmate.craft.thread.plausible import BAND, question_beside
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.fit_words import off_words
from benchmate.craft.wording.length_words import fine_words
from benchmate.piece_length import Lengths
from benchmate.piece_questions.length_choices import Choice
from benchmate.piece_questions.typed_numbers import Asked
from benchmate.piece_questions.typed_numbers import length as length_to_ask
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.gauges import record, take_back
from benchmate.thread_gauges import taught

FEW_ROWS = 10
"""Over fewer rows than this, a millimetre more or less in the measure changes much."""


class Measure(NamedTuple):
    """The length of the first `rows` rows, mm."""

    mm: float
    rows: int

    @property
    def row_mm(self) -> Decimal:
        """What a row adds."""
        return exact(self.mm) / self.rows


class KnownLengths:
    """What the maker has said of the length of a piece; forgotten when the piece is left."""

    def __init__(self, wanted_mm: float | None = None) -> None:
        self.measured: Measure | None = None
        """The last measure of the band."""
        self.wanted: Decimal | None = None if wanted_mm is None else exact(wanted_mm)
        """How long it is to be, mm."""
        self.kept: int | None = None
        """The number under which the measure was recorded in the gauge."""

    def measure(self, mm: float, rows: int) -> None:
        """Takes a measure of the band."""
        self.measured, self.kept = Measure(mm, rows), None

    def want_wrist(self, mm: float) -> None:
        """Takes the wrist that the band is for, with the usual ease and no gap."""
        self.wanted = band_for(exact(mm))

    def want_band(self, mm: float) -> None:
        """Takes how long the band is to be."""
        self.wanted = exact(mm)


class BandLength:
    """The length of a piece as it is now, by its measure or else by the gauge of its thread."""

    def __init__(self, held: OpenPiece, lengths: Lengths, known: KnownLengths, units: str) -> None:
        """Raises StoreError when the gauges cannot be read."""
        self.known = known
        self._held = held
        self._lengths = lengths
        self._units = units
        design = held.whole.main.design
        self._thread = design.thread
        self._gauge, estimate = taught(held.home, design.thread)
        height = design.family.row_mm(estimate.gauge)
        self._by_gauge: Decimal | None = None if height is None else exact(height)
        self.rows = whole_rows(held)
        """The rows that are tied whole, from the first on; a measure goes up to the last of them."""

    @property
    def has_length(self) -> bool:
        """Whether rows say how long the band is."""
        return self._by_gauge is not None

    @property
    def row_mm(self) -> Decimal:
        """What a row adds, by the measure, else by the gauge."""
        assert self._by_gauge is not None
        return self._by_gauge if self.known.measured is None else self.known.measured.row_mm

    def words(self, mm: Decimal | float) -> str:
        """A length, to the millimetre."""
        return fine_words(mm, self._units)

    # What is asked

    def ask_now(self) -> Asked:
        """Asks how long the band is now."""
        text = f"Measure from the first row to the end of row {self.rows}, the last one that is whole."
        return length_to_ask("HOW LONG NOW", "It is now", None, self._units, [text], doubt=self._doubt)

    def ask_wrist(self) -> Asked:
        """Asks for the wrist."""
        text = f"The way round the wrist. The band is made {self.words(EASE)} longer. {CAUTION}"
        return length_to_ask("WHICH WRIST", "Wrist", "wrist", self._units, [text])

    def ask_band(self) -> Asked:
        """Asks for the length wanted."""
        text = "The knotted part, without its ends."
        return length_to_ask("HOW LONG", "Wanted", "band", self._units, [text])

    def _doubt(self, mm: float) -> str | None:
        """Asks about a measure that is far from what so many rows come to."""
        assert self._by_gauge is not None
        called = f"A band of {counted(self.rows, 'row')} of {self._thread}"
        expected = float(self._by_gauge * self.rows)
        return question_beside(called, mm, expected, BAND, self.words)

    # What is known

    def told(self) -> list[str]:
        """All that is known of its length, a sentence each; nothing where neither measure nor wish is known."""
        known, found = self.known, []
        if known.measured is not None:
            mm, rows = known.measured
            text = f"Measured: {self.words(mm)} over {counted(rows, 'row')}, {self.row_mm:.2f} mm a row"
            found.append(f"{text}; reckoned with {self._by_gauge:.2f}.")
            if rows < FEW_ROWS:
                found.append("Over so few rows that is rough: measure again later.")
            now = self._lengths.now
            found.append(f"With {self._lengths.words(now)} it will be {self.words(now.rows * self.row_mm)}.")
        if known.wanted is not None:
            found += self._to_go(known.wanted)
        return found

    def _to_go(self, wanted: Decimal) -> list[str]:
        rows = nearest_count(wanted, self.row_mm)
        left = rows - self.rows
        text = f"For {self.words(wanted)}: row {rows}"
        if left > 0:
            return [f"{text}, {counted(left, 'row')} left.", self._repeats_end(wanted)]
        over = self.rows * self.row_mm - wanted
        return [f"{text}. With {counted(self.rows, 'row')} it is {off_words(over, self._units)}."]

    def _repeats_end(self, wanted: Decimal) -> str:
        """Where the repeats before and after the wanted length end."""
        in_repeat = self._lengths.rows_per_repeat
        before = int(wanted // (self.row_mm * in_repeat))
        ends = [
            f"row {each * in_repeat} ({self.words(each * in_repeat * self.row_mm)})" for each in (before, before + 1)
        ]
        return f"A repeat ends at {' and at '.join(ends[0 if before else 1 :])}."

    # What follows from it

    def choices(self) -> list[Choice]:
        """The lengths that come nearest to the one wanted: in whole repeats, and in rows."""
        wanted = self.known.wanted
        if wanted is None:
            return []
        in_repeat = self._lengths.rows_per_repeat
        repeats = fit(wanted, float(self.row_mm), in_repeat).repeats
        rows = nearest_count(wanted, self.row_mm)

        def ends(at: int) -> str:
            left = f" ({at - self.rows} left)" if at > self.rows > 0 else ""
            return f"{left}, {self.words(at * self.row_mm)}"

        last = repeats * in_repeat
        by_repeat = Choice(f"repeats that fit: {{}}, row {last}{ends(last)}", repeats, of_rows=False)
        by_row = Choice(f"rows that fit: {{}}{ends(rows)}", rows, of_rows=True)
        return [by_repeat, by_row] if self._lengths.has_rows else [by_repeat]

    @property
    def keep_words(self) -> str | None:
        """What keeping the measure in the gauge is called, or taking it back; None where nothing was measured."""
        if self.known.measured is None:
            return None
        what = f"this row height in the gauge {self._gauge}"
        return f"keep {what}" if self.known.kept is None else f"take back {what}"

    def keep(self) -> str:
        """Keeps the measure in the gauge, or takes it back; what to say then. Where that fails, raises StoreError."""
        assert self.known.measured is not None
        mm, rows = self.known.measured
        if self.known.kept is None:
            what = self._held.whole.main.design.family.rows_measured
            self.known.kept = record(
                self._held.database, self._gauge, [Measured(what, rows, mm)], piece=self._held.piece
            )
            return f"Kept in the gauge {self._gauge}."
        take_back(self._held.database, self.known.kept)
        self.known.kept = None
        return f"Taken back from the gauge {self._gauge}."


def whole_rows(held: OpenPiece) -> int:
    """How many rows of the band are tied whole, from the first one on."""
    main = held.whole.main
    tied = set(held.progress.history)
    # The numbers of the chart go up row by row.
    untied = next((number for number in range(main.first, main.first + main.work.size) if number not in tied), None)
    return main.work.rows if untied is None else main.work.row_of(untied - main.first) - 1
