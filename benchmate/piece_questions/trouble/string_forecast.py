"""What is to be expected of every string of a piece, from what was cut, what was measured, and the gauge."""

import math
from array import array
from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.cut_list import ends_mm, rounded_up
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.trouble.string_outlook import FOR_99_OF_100, Outlook, Used, UsedHere, outlook, spare_mm, used_here
from benchmate.craft.trouble.trouble import Lasting, Trouble
from benchmate.families.registry import trouble_of
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.new_strings import taken_over
from benchmate.thread_gauges import taught

TAKES = ("made_mm", "carried_mm", "stayed_mm", "waited_mm")
"""The numbers of a gauge that say what a string takes."""


class Hung(NamedTuple):
    """A string as it was known last: so much of it hung loose after so many steps of the band.

    `measured` is True where the maker said so, `joined` where that was a new string.
    """

    done: int
    mm: float
    measured: bool = False
    joined: bool = False


class Expected(NamedTuple):
    """What is to be expected of a string after it was known last. Steps count through the whole piece."""

    string: int
    hung: Hung
    outlook: Outlook
    needs_mm: float
    gives_out: int | None
    lay_in: int | None


class Forecast:
    """What is to be expected of the strings of a diagonal band, for one state of a piece."""

    def __init__(self, held: OpenPiece, trouble: Trouble) -> None:
        """Raises StoreError where the gauge by which the strings were cut cannot be read."""
        whole = held.whole
        self._whole = whole
        self._ordered = Ordered(held)
        sequence = self._ordered.of_band
        to_come = trouble.thread_to_come(whole.main.work, sequence)
        assert to_come is not None
        self._to_come, self._steps = to_come, len(sequence)
        self.done = done_of(held)
        self.estimate = estimate_of(held)
        self.gauge = self.estimate.gauge
        known, listed = _cut_lengths(whole, held)
        self._cut, self._known = {**listed, **known}, set(known)
        self.cut_is_known = bool(known) and known.keys() >= listed.keys()
        """Whether what was cut is known; else the other strings are taken to be cut by the cut list."""
        parts = {part.called: part.design for part in whole.parts}
        self._start_mm, self.finish_mm = ends_mm(self.gauge, parts.get("start"), parts.get("finish"))
        self._measured = dict(held.measured)
        self._new_mm = {each.string: each.mm for each in taken_over(held.new_strings, held.progress.has_tied)}
        self._counts: dict[int, Sequence[Counts]] = {}

    def follows(self, held: OpenPiece) -> bool:
        """Whether the steps are still worked in the order that this rests on."""
        return self._ordered.goes_on_in(held)

    @property
    def strings(self) -> range:
        """The numbers of the strings."""
        return range(1, len(self._whole.main.work.strings) + 1)

    def hung(self, string: int) -> Hung | None:
        """The string as it was known last; None where nothing is known of it."""
        measured = self._measured.get(string)
        if measured is not None:
            return Hung(self.within(measured.done), measured.mm, measured=True, joined=measured.joined)
        cut = self._cut.get(string)
        return None if cut is None else Hung(0, cut - self._start_mm)

    def within(self, done: int) -> int:
        """How many steps of the band are tied when so many of the piece are."""
        return min(max(0, done - self._whole.main.first), self._steps)

    def used_so_far(self, string: int, left_mm: float, done: int, *, by_eye: bool = False) -> Used | None:
        """What the string has used, and was expected to, when so much of it is left; None where its cut is unknown."""
        cut, measured = self._cut.get(string), self._measured.get(string)
        if string not in self._known or cut is None or (measured is not None and measured.joined):
            return None
        return Used(cut - self._start_mm - left_mm, self._expected_mm(string, done), left_mm, by_eye)

    def _expected_mm(self, string: int, done: int) -> float:
        """What the gauge expects the string to have used after so many steps."""
        in_all, still = self.counts(0)[string - 1], self.counts(done)[string - 1]
        return self.estimate.needs_mm(in_all) - self.estimate.needs_mm(still)

    @cached_property
    def here(self) -> UsedHere:
        """How much more or less thread than the gauge expects this piece uses, by the strings that were measured."""
        seen = [
            used
            for string, measured in self._measured.items()
            if (used := self.used_so_far(string, measured.mm, self.within(measured.done), by_eye=measured.by_eye))
            is not None
        ]
        all_counts = [counts for counts in self.counts(0) if self.estimate.needs_mm(counts)]
        if not seen or not all_counts:
            return UsedHere()
        most = max(all_counts, key=self.estimate.needs_mm)
        before = self.estimate.spare_mm(most) / self.estimate.needs_mm(most) / FOR_99_OF_100
        return used_here(seen, before or UsedHere().spread)

    def counts(self, done: int) -> Sequence[Counts]:
        """What each string still does after so many steps."""
        if done not in self._counts:
            self._counts[done] = self._to_come.still_does(done)
        return self._counts[done]

    def needs_mm(self, string: int, done: int) -> float:
        """What the string still needs in this piece after so many steps."""
        return self.estimate.needs_mm(self.counts(done)[string - 1]) * self.here.share

    def left_now(self, string: int) -> float | None:
        """What probably hangs of the string now, without a negative length; None where nothing is known of it.

        Undone knots give back what they took, but not more than hung of it at first.
        """
        hung = self.hung(string)
        if hung is None:
            return None
        left = hung.mm - self.needs_mm(string, hung.done) + self.needs_mm(string, self.done)
        return max(0.0, min(left, max(hung.mm, self._hung_at_first(string, hung))))

    def _hung_at_first(self, string: int, hung: Hung) -> float:
        """What hung of it before its first knot, without an end where that is known; endless where it is not."""
        if hung.joined:
            return self._new_mm.get(string, math.inf) - self.gauge.tail_mm
        return self._cut[string] - self._start_mm if string in self._known else math.inf

    def left_at_the_end(self, string: int) -> float | None:
        """What probably hangs of it after the last knot, below 0 where it runs short; None where nothing is known."""
        hung = self.hung(string)
        return None if hung is None else hung.mm - self.needs_mm(string, hung.done)

    def for_a_new_one(self, string: int, after: int) -> float:
        """How long to cut a new string that takes over after so many steps, with its spare, its end and the finish."""
        needs = self.needs_mm(string, after)
        spare = spare_mm(needs, self.here, self.estimate.spare_mm(self.counts(after)[string - 1]))
        gauge = self.gauge
        return rounded_up(needs + spare + max(gauge.hold_mm, self.finish_mm) + gauge.tail_mm)

    def was_laid_in(self, held: OpenPiece, string: int) -> int | None:
        """The step in which a new string was to be laid in for this one, where it is tied by now."""
        expected = self.expected(string)
        lay_in = None if expected is None else expected.lay_in
        return lay_in if lay_in is not None and held.progress.is_tied(lay_in) else None

    def expected(self, string: int) -> Expected | None:
        """What is to be expected of a string; None where nothing is known of it."""
        hung = self.hung(string)
        if hung is None:
            return None
        needs = self.needs_mm(string, hung.done)
        spare = spare_mm(needs, self.here, self.estimate.spare_mm(self.counts(hung.done)[string - 1]))
        found = outlook(hung.mm, self.gauge.hold_mm, needs, spare)
        if found is not Outlook.SHORT:
            return Expected(string, hung, found, needs, None, None)
        lasting = self.lasting(string, hung)
        if lasting.gives_out is None:
            # Only the rows that it waits after its last knot are more than there is.
            return Expected(string, hung, Outlook.PROBABLE, needs, None, None)
        first = self._whole.main.first
        lay_in = None if lasting.lay_in is None else first + lasting.lay_in
        return Expected(string, hung, found, needs, first + lasting.gives_out, lay_in)

    def lasting(self, string: int, hung: Hung) -> Lasting:
        """Where a string gives out that hung so."""
        return self._to_come.lasts(hung.done, string, max(0.0, hung.mm), self._gauge_here)

    @cached_property
    def _gauge_here(self) -> Gauge:
        """The gauge as this piece uses thread."""
        return self.gauge._replace(**{field: getattr(self.gauge, field) * self.here.share for field in TAKES})

    @cached_property
    def short(self) -> list[Expected]:
        """The strings that will probably run short."""
        all_of_them = [found for string in self.strings if (found := self.expected(string)) is not None]
        return [each for each in all_of_them if each.gives_out is not None]


class Forecasts:
    """The forecast of a piece, worked out again only when something that it rests on has changed."""

    def __init__(self) -> None:
        self._key: object = None
        self._forecast: Forecast | None = None

    def of(self, held: OpenPiece) -> Forecast | None:
        """The forecast; None for a piece of another family than diagonal bands. Raises StoreError."""
        # The objects themselves, as a number of an object that is gone can be that of a later one.
        key = held.whole, held.order, held.was_cut, list(held.ticked), dict(held.measured), held.piece
        known = self._key is not None and _same(key, self._key)
        if not known or (self._forecast is not None and not self._forecast.follows(held)):
            self._key, self._forecast = key, forecast_of(held)
        if self._forecast is not None:
            self._forecast.done = done_of(held)
        return self._forecast


def _same(one: tuple[object, ...], other: object) -> bool:
    if not isinstance(other, tuple):
        return False
    return one[0] is other[0] and one[1] is other[1] and one[2:] == other[2:]


def forecast_of(held: OpenPiece) -> Forecast | None:
    """What is to be expected of the strings of a piece; None where nothing can be said of its family."""
    trouble = trouble_of(held.whole.main.design.family)
    return Forecast(held, trouble) if trouble.knows_ways else None


def estimate_of(held: OpenPiece) -> Estimate:
    """What is known of the thread that the piece was cut by. Raises StoreError."""
    main, was_cut, to_cut = held.whole.main.design, held.was_cut, held.whole.to_cut
    name = main.thread if was_cut is None else was_cut[0]
    if to_cut is not None and to_cut.thread.estimate.gauge.name == name:
        return to_cut.thread.estimate
    return taught(held.home, name)[1]


def done_of(held: OpenPiece) -> int:
    """How many steps of the band are tied."""
    main = held.whole.main
    return min(max(0, held.progress.done - main.first), main.work.size)


class Ordered:
    """The steps of a piece as they were tied, then the others in working order."""

    def __init__(self, held: OpenPiece) -> None:
        progress, in_order = held.progress, held.order.sequence
        history = progress.history
        self._steps, self._in_order_from = array("L", in_order), 0
        if history != self._steps[: progress.done]:
            still = (number for number in in_order if not progress.is_tied(number))
            self._steps = array("L", (*history, *still))
            self._in_order_from = progress.done
        main = held.whole.main
        # Parts are worked one after the other.
        band = self._steps[main.first : main.first + main.work.size]
        self.of_band = array("L", (number - main.first for number in band)) if main.first else band
        """Those of the band, numbered within it."""

    def goes_on_in(self, held: OpenPiece) -> bool:
        """Whether these are still the steps as they were tied, and then the others in working order."""
        done = held.progress.done
        return done >= self._in_order_from and self._steps[:done] == held.progress.history


def _cut_lengths(whole: WholePiece, held: OpenPiece) -> tuple[Mapping[int, float], Mapping[int, float]]:
    """How long each string was cut, where that is known, and by the cut list, where nobody told that all were cut.

    Of a folded length each string has its share by the cut list.
    """
    listed = None if whole.to_cut is None else whole.to_cut.cuts
    by_list = {} if listed is None else {each.string: each.cut_mm for each in listed.strings}
    lengths: dict[int, float] = {}
    for cut in held.lengths_cut:
        length = cut.length
        if length.leading is None and length.strings:
            shares = [by_list.get(string, 1.0) for string in length.strings]
            for string, share in zip(length.strings, shares, strict=True):
                lengths[string] = length.cut_mm * share / sum(shares)
    return lengths, by_list if held.was_cut is None else {}
