"""The lengths to cut, one a step, before the strings are laid out."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import ceil
from typing import NamedTuple

from benchmate.craft.laying_out import LayingOut, LayingStep, fits
from benchmate.craft.thread.cut_list import CutList
from benchmate.craft.thread.length_to_cut import Begins, Length, Wanted
from benchmate.craft.wording.length_words import MM_IN_AN_INCH, length_words, spoken_length_words
from benchmate.craft.wording.prompt_parts import Level, joined
from benchmate.craft.wording.spoken_length import MORE, cut

OFF_MIDDLE = 20.0
"""How far from its middle, mm, a length is folded at least where it is said; less is within what is cut to spare."""
_FRACTIONS = {"⅛": "1/8", "¼": "1/4", "⅜": "3/8", "½": "1/2", "⅝": "5/8", "¾": "3/4", "⅞": "7/8"}


class From(NamedTuple):
    """Where a length is cut from: in words, and the number of that thread in the box, None for one to be bought.

    `source` is a number of its own for each such thread.
    """

    words: str
    thread: int | None
    source: int


def cutting_order(cuts: CutList, hanging: Sequence[str], sources: Mapping[int, From]) -> list[int]:
    """The lengths in the order to cut them, each by its place in `cuts.lengths`.

    Those of one colour stand together, in the order in which the colours hang; of these, all that come from one source,
    what is in the box before what is bought; of these, the longest first.
    """
    lengths = cuts.lengths
    colours = list(dict.fromkeys([*hanging, *(length.colour for length in lengths)]))
    longest: dict[tuple[str, From | None], tuple[float, int]] = {}
    for at, length in enumerate(lengths):
        source = length.colour, sources.get(at)
        longest[source] = min(longest.get(source, (0.0, at)), (-length.cut_mm, at))

    def place(at: int) -> tuple[int, bool, tuple[float, int], float, int]:
        length, source = lengths[at], sources.get(at)
        is_bought = source is not None and source.thread is None
        return colours.index(length.colour), is_bought, longest[length.colour, source], -length.cut_mm, at

    return sorted(range(len(lengths)), key=place)


def cutting_out(
    cuts: CutList,
    hanging: Sequence[str],
    say: Callable[[str], str],
    wanted: Sequence[Wanted],
    units: str,
    *,
    caution: str = "",
    sources: Mapping[int, From] | None = None,
    begins: Mapping[int, Begins] | None = None,
) -> LayingOut:
    """The lengths, one a step. `hanging` are the colours as they hang, `say` gives the label of a colour.

    `wanted` says what each of `cuts.lengths` is for, `sources` where it is cut from and `begins` where on a variegated
    thread, by its place there. The `caution` about the thread is said once, with the first length.
    """
    sources, begins = sources or {}, begins or {}
    order = cutting_order(cuts, hanging, sources)
    steps: list[LayingStep] = []
    for number, at in enumerate(order, 1):
        length, what, source = cuts.lengths[at], wanted[at], sources.get(at)
        colour, long = say(length.colour), length_words(length.cut_mm, units)
        begin = begins.get(at, Begins("", ""))
        count, beware = f"length {number} of {len(order)}", caution if number == 1 else ""
        source_words = "" if source is None else f"from {source.words}"
        purpose = _purpose(cuts, length, what, length_words, units)
        note = "; ".join(filter(None, (purpose, begin.words, source_words, count, beware)))
        spoken = _Spoken(
            colour,
            spoken_length_words(length.cut_mm, units),
            _briefly(length.cut_mm, units),
            _purpose(cuts, length, what, spoken_length_words, units).replace(": ", ", "),
            what,
            begin,
            source_words,
        )
        steps.append(
            LayingStep(
                length.colour,
                length.strings,
                (),
                f"{colour} {in_letterforms(long)}",
                note,
                f"{colour}, {long}, {note}",
                {level: tuple(dict.fromkeys(spoken.wordings(level, count, beware))) for level in Level},
                at,
                in_letterforms(long),
                None if source is None else source.thread,
            )
        )
    return LayingOut("cut", "the lengths", tuple(steps), "length")


class _Spoken(NamedTuple):
    """What is said of a length: its colour, how long, that in fewer words, what it is for, and the rest."""

    colour: str
    long: str
    about: str
    purpose: str
    what: Wanted
    begin: Begins
    source: str

    def wordings(self, level: Level, count: str, beware: str) -> Iterator[str]:
        """The wordings for a level, the fullest first. The colour and how long are always said."""
        head, begin = joined([self.colour, self.long]), self.begin
        whole = joined([head, self.purpose, begin.words])
        if level is Level.FULL:
            yield joined([whole, self.source, count, beware])
        if level is not Level.SPARSE:
            yield joined([whole, self.source])
            yield whole
            yield joined([head, self.purpose, begin.brief])
        yield joined([head, f"{'folded ' if self.what.ends[1:] else ''}{self.what.brief}", begin.brief])
        # That two strings are one length says that it is folded.
        yield joined([head, self.what.brief, begin.brief])
        if level is not Level.SPARSE:
            yield joined([self.colour, self.about, self.what.brief, begin.brief])
        yield joined([head, begin.brief])
        if begin.brief:
            yield joined([self.colour, self.about, begin.brief])
        yield _barest(self.colour, (self.long, self.about), level)


def _purpose(cuts: CutList, length: Length, what: Wanted, words: Callable[[float, str], str], units: str) -> str:
    """`for string 1`, `folded: strings 1 and 4`; where it is not folded in the middle, which end is which."""
    if not what.ends[1:]:
        return f"for {what.words}"
    fold = cuts.fold_mm(length)
    if fold is None or fold - length.cut_mm / 2 < OFF_MIDDLE:
        return f"folded: {what.words}"
    long_end, short_end = what.ends
    return f"folded {words(fold, units)} from one end: the long end is {long_end}, the short one {short_end}"


def _barest(colour: str, spoken: Sequence[str], level: Level) -> str:
    """The colour and how long, said as briefly as the level needs; of many words for a colour only the first ones.

    How long is always said whole.
    """

    def begun(long: str) -> str:
        return joined([cut(colour, lambda head: fits(joined([head, long]), level)), long])

    wordings = (*(joined([colour, long]) for long in spoken), *map(begun, spoken))
    first = joined([colour.split()[0], spoken[-1]])
    return next((words for words in wordings if fits(words, level) and not words.startswith(MORE)), first)


def _briefly(mm: float, units: str) -> str:
    """A length by ear in few words: in inches the next whole one, and without the unit, which a maker knows."""
    if units == "inches":
        return str(ceil(round(8 * mm / MM_IN_AN_INCH) / 8))
    return spoken_length_words(mm, units).removesuffix(" centimetres")


def in_letterforms(long: str) -> str:
    """`6⅜ in` as `6 3/8 in`, because large type has no letterforms for fractions."""
    for sign, plain in _FRACTIONS.items():
        long = long.replace(sign, f" {plain}")
    return long.strip()
