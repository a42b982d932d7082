"""What there is to know about a line of a shelf: worked out from its design, in plain values."""

from collections.abc import Callable, Sequence
from types import MappingProxyType
from typing import NamedTuple

from benchmate.choosing.shelves import Entry
from benchmate.choosing.skeins import enough_skeins
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.craft.design import Design, steps_in, written_out
from benchmate.craft.drawing import CannotDraw, Layout
from benchmate.craft.effort import how_hard
from benchmate.craft.float_rules import KnotSize
from benchmate.craft.history.sittings import at_usual_pace, duration, sittings
from benchmate.craft.history.timing import DEFAULT_BEAT
from benchmate.craft.pace import Pace, time_for, time_left
from benchmate.craft.thread.cut_list import NothingToCut, cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.usual import USUAL_SKEIN
from benchmate.craft.thread.variegated.start_point import begun
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.craft.ways import worked_as
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import length_words, total_words
from benchmate.design_files.load import parse
from benchmate.files.top_level import top_level
from benchmate.makers_pace import pace_with
from benchmate.settings import Settings
from benchmate.store.reading import Copy, Piece, PieceReader
from benchmate.thread_gauges import estimate_named

MOST_ROWS = 160
"""How many rows are drawn at most: more than any window shows."""
MOST_KNOTS_RATED = 20_000
"""In a larger design, only the rows that are drawn say how hard it is."""
MOST_KNOTS_PLANNED = 5_000
"""The thread of a larger picture is left out: who makes which knots of it takes long to plan."""


class Fact(NamedTuple):
    """Something to know about a design, under its label."""

    label: str
    value: str


class ColourFact(NamedTuple):
    """A colour: its values, of which a variegated thread has several, its label, and the label with their names."""

    values: tuple[str, ...]
    say: str
    described: str


class Preview(NamedTuple):
    """A design as its maker chooses by it. Without a `layout` there is nothing to draw."""

    facts: tuple[Fact, ...]
    layout: Layout | None = None
    colours: tuple[ColourFact, ...] = ()
    notes: str = ""


class Wanted(NamedTuple):
    """A line of which the preview is wanted, with the copy of the design that its piece has, and the maker's pace.

    `depth` is how many colours the screen shows. `estimate` is what is known of its thread. `altered` are the steps of
    the piece that are not made as charted, by their numbers through the whole piece.
    """

    entry: Entry
    copy: Copy | None
    pace: Pace | None
    depth: ColourDepth
    estimate: Estimate
    settings: Settings
    altered: MadeOtherwise = MappingProxyType({})


class PreviewSources:
    """What previews are made from: the pieces' own copies of their designs, the maker's pace and gauges."""

    def __init__(self, reader: PieceReader, settings: Callable[[], Settings]) -> None:
        """`settings` gives the settings as they are now."""
        self._reader = reader
        self._settings = settings
        self._pieces: Sequence[Piece] = ()
        self._paces: dict[str, Pace | None] = {}
        self._estimates: dict[str, Estimate] = {}

    def forget(self, pieces: Sequence[Piece]) -> None:
        """Forgets the paces and gauges: the pieces have been read again."""
        self._pieces = pieces
        self._paces.clear()
        self._estimates.clear()

    def wanted(self, entry: Entry, depth: ColourDepth) -> Wanted:
        """All that the preview of a line is made from. Raises StoreError for an unreadable piece."""
        copy = None if entry.piece is None else self._reader.copies_of(entry.piece.piece)[-1][1]
        pace, estimate = self._pace(_family_of(entry, copy)), self._estimate(_thread_of(entry, copy))
        altered = {} if entry.piece is None else self._reader.altered_of(entry.piece.piece)
        return Wanted(entry, copy, pace, depth, estimate, self._settings(), altered)

    def _pace(self, family: str) -> Pace | None:
        if family not in self._paces:
            self._paces[family] = pace_with(self._reader, self._pieces, family)
        return self._paces[family]

    def _estimate(self, thread: str) -> Estimate:
        if thread not in self._estimates:
            self._estimates[thread] = estimate_named(self._reader.home, thread)
        return self._estimates[thread]


def _family_of(entry: Entry, copy: Copy | None) -> str:
    if copy is not None:
        return top_level(copy.design, "family") or ""
    return "" if entry.loaded is None else entry.loaded.design.family.name


def _thread_of(entry: Entry, copy: Copy | None) -> str:
    if copy is not None:
        return top_level(copy.design, "thread") or FLOSS.name
    return FLOSS.name if entry.loaded is None else entry.loaded.design.thread


def preview_of(wanted: Wanted) -> Preview:
    """The preview of a line. It may take long for a large design."""
    entry, copy = wanted.entry, wanted.copy
    if copy is not None:
        design = parse(copy.design, limit_texts=False)[0]
        if design is None:
            return Preview((Fact("design", "it cannot be read"),))
        texts = ("start", copy.start), ("finish", copy.finish)
        ends = [(label, None if text is None else parse(text, limit_texts=False)[0]) for label, text in texts]
        repeats = copy.repeats
    elif entry.loaded is not None:
        design, repeats = entry.loaded.design, entry.loaded.design.repeats
        files = ("start", entry.loaded.start), ("finish", entry.loaded.finish)
        ends = [(label, None if file is None else file.design) for label, file in files]
    else:
        return Preview(())
    if entry.piece is not None:
        design = worked_as(design, entry.piece.way)
    design = begun(design, wanted.estimate, dict(ends)["start"], dict(ends)["finish"], repeats)
    design, repeats = written_out(design.on_screen(wanted.depth), repeats)
    first = 0 if (start := dict(ends)["start"]) is None else steps_in(start)
    layout = _layout(design, repeats, {number - first: made for number, made in wanted.altered.items()})
    return Preview(
        tuple(_facts(wanted, design, repeats, layout, ends)),
        layout,
        tuple(ColourFact(colour.values, colour.say, colour.described) for colour in design.colours.values()),
        design.notes or "",
    )


def _layout(design: Design, repeats: int, altered: MadeOtherwise) -> Layout | None:
    """The beginning of the band, as it is really made; None when there is nothing to draw."""
    # Imported here: the list is on the screen before anything is drawn.
    from benchmate.draw.layout import lay_out

    family = design.family
    beginning = design._replace(body=family.beginning(design.body, MOST_ROWS))
    enough = -(-MOST_ROWS // family.rows_per_repeat(design.body))
    repeats = min(repeats, enough)
    as_made = None
    if altered:
        work = family.work(beginning.body, repeats)
        as_made = work.made_otherwise({number: made for number, made in altered.items() if number < work.size})
    try:
        return lay_out(beginning, repeats, as_made)
    except CannotDraw:
        return None


def _facts(
    wanted: Wanted, design: Design, repeats: int, layout: Layout | None, ends: list[tuple[str, Design | None]]
) -> list[Fact]:
    family, piece = design.family, wanted.entry.piece
    knots = steps_in(design, repeats)
    found = [Fact("", ", ".join(family.summary(design.body, repeats)))]
    if layout is not None and layout.size is None:
        long = layout.long / layout.rows * family.rows_per_repeat(design.body) * repeats
        found.append(Fact("size", f"about {long / 10:.0f} cm long, {layout.wide:.0f} mm wide"))
    if family.row_word and not (piece is not None and piece.finished):
        found.append(Fact("time", _time(wanted.pace, knots, family.step_word, None if piece is None else piece.done)))
        open_knots = max(0, knots - (0 if piece is None else piece.done))
        found.append(Fact("evenings", _evenings(wanted, open_knots, family.step_word)))
    if piece is None or not piece.done:
        found.append(Fact("thread", _thread(wanted, design, repeats, dict(ends))))
    found.append(Fact("needs", family.needs(design.body)))
    if layout is not None and layout.crosses:
        found.append(Fact("drawn", "its moves, not its look"))
    if family.row_word:
        is_large = knots > MOST_KNOTS_RATED * repeats
        body = family.beginning(design.body, MOST_ROWS) if is_large else design.body
        found.append(Fact("how hard", how_hard(family.effort(body).number)))
    if wanted.altered:
        found.append(Fact("otherwise", f"{counted(len(wanted.altered), family.step_word)} not as in the chart"))
    found += [Fact(label, end.title) for label, end in ends if end is not None]
    return [fact for fact in found if fact.value]


def _time(pace: Pace | None, knots: int, word: str, done: int | None) -> str:
    """The time a design takes, or what is left of a piece with so many steps done."""
    if pace is None:
        return f"known after ten such {word}s"
    return f"{time_for(pace, knots)} at your pace" if done is None else time_left(pace, max(0, knots - done))


def _evenings(wanted: Wanted, knots: int, word: str) -> str:
    """The evenings that so many knots take, at the maker's own pace or else at the usual one."""
    if not knots:
        return ""
    minutes = wanted.settings.sitting
    if wanted.pace is None:
        usual = sittings(at_usual_pace(knots, DEFAULT_BEAT), minutes)
        return f"{usual.short} at {DEFAULT_BEAT:g} s a {word}"
    return sittings(duration(wanted.pace, knots), minutes).short


def _thread(wanted: Wanted, design: Design, repeats: int, ends: dict[str, Design | None]) -> str:
    """The thread that a design needs, and the skeins that are enough for it."""
    family, body, gauge = design.family, design.body, wanted.estimate.gauge
    if family.float_rules(body) is not None:
        if steps_in(design, repeats) > MOST_KNOTS_PLANNED:
            return ""
        rules = wanted.settings.float_rules.with_size(KnotSize.of(gauge))
        design = design._replace(body=family.with_float_rules(body, rules))
    try:
        found = cut_list(design, wanted.estimate, start=ends["start"], finish=ends["finish"], repeats=repeats)
    except NothingToCut:
        return ""
    units = wanted.settings.units
    total = total_words(sum(found.colours.values()), units)
    skeins = enough_skeins(found.lengths, USUAL_SKEIN)
    if skeins is None:
        return f"{total}; a length is longer than a skein of {length_words(USUAL_SKEIN, units)}"
    return f"{total}, up to {counted(skeins, 'skein')} of {length_words(USUAL_SKEIN, units)}"
