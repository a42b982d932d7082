"""The lengths to choose from, and what a chosen one means."""

from typing import NamedTuple

from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import length_words
from benchmate.piece_length import Length, Lengths, NoSuchLength
from benchmate.store.open_piece import OpenPiece

_MORE = ("more", "fewer")
_THIS = ("the first possible", "this")


class Choice(NamedTuple):
    """A length to choose: its words with the number left open, the number, and whether that can be changed.

    `of_rows` is true where the number counts rows, not repeats; `no_finish` where the finish goes, not the length.
    """

    says: str
    number: int
    of_rows: bool
    open: bool = False
    no_finish: bool = False

    @property
    def words(self) -> str:
        """Its words, with the number."""
        return self.says.format(self.number)

    def length(self, lengths: Lengths) -> Length:
        """The length it stands for."""
        return lengths.length(**{"rows" if self.of_rows else "repeats": self.number})


def choices(lengths: Lengths) -> list[Choice]:
    """The length as it is first, then the others."""
    now = lengths.now
    found = [Choice(f"as it is: {lengths.words(now)}", now.rows, of_rows=lengths.has_rows)]
    if not lengths.has_rows:
        found[0] = found[0]._replace(number=now.repeats)
    whole = now.rows // lengths.rows_per_repeat
    found.append(Choice("repeats in all: {}", whole + 1, of_rows=False, open=True))
    if lengths.has_rows:
        found.append(Choice("rows in all: {}", now.rows + 1, of_rows=True, open=True))
    end = lengths.first_end
    if end is not None:
        repeat = -(-end // lengths.rows_per_repeat)
        row = f", row {repeat * lengths.rows_per_repeat}" if lengths.has_rows else ""
        sooner = end == lengths.row
        found.append(Choice(f"end after {_THIS[sooner]} repeat: repeat {repeat}{row}", repeat, of_rows=False))
        if lengths.has_rows:
            found.append(Choice(f"end after {_THIS[sooner]} row: row {end}", end, of_rows=True))
    if lengths.has_added_finish:
        found.append(Choice("without the added finish", 1, of_rows=False, no_finish=True))
    return found


def meaning(held: OpenPiece, lengths: Lengths, choice: Choice) -> tuple[bool, list[str]]:
    """Whether a length can be taken, and what it means, a sentence or two each."""
    length, family = choice.length(lengths), held.whole.main.design.family
    now = f"Now: {lengths.words(lengths.now)}"
    if lengths.row is not None and family.row_word:
        now += f"; you are at {family.row_word} {lengths.row}"
    tied = sum(number >= held.whole.main.first + held.whole.main.work.size for number in held.progress.history)
    first = f"Undo {counted(tied, 'step')} of the finish first, last first: this counts them as undone."
    if choice.no_finish:
        return True, [*([first] if tied else []), "The piece then ends with the band."]
    try:
        steps = lengths.steps(length)
    except NoSuchLength as fault:
        return False, [f"Not possible: {fault}.", f"{now}."]
    more = steps - held.whole.main.work.size
    if length == lengths.now:
        return True, ["Nothing changes.", f"{now}."]
    words = f"{counted(abs(more), f'{_MORE[more < 0]} {family.step_word}')}: {lengths.words(length)}"
    texts = [f"{words}. What is tied stays tied.", f"{now}."]
    if tied and more > 0:
        texts = [f"{first} Then {words}.", "Trimmed ends may be too short to go on: measure them first.", f"{now}."]
    if more > 0 and (short := _cut_too_short(held, lengths, length)):
        texts.insert(1, short)
    return True, texts


def _cut_too_short(held: OpenPiece, lengths: Lengths, length: Length) -> str:
    """What was cut for the piece and is too short for a length of its band; empty where all is long enough."""
    known, cut = held.whole.to_cut, held.lengths_cut
    if known is None or not cut:
        return ""
    wanted = known.of_length(lengths.design, length.repeats or -length.rows).cuts
    if wanted is None:
        return ""
    needs = {(each.strings, each.leading): each.cut_mm for each in wanted.lengths}
    was = {(each.length.strings, each.length.leading): each.length.cut_mm for each in cut}
    pairs = [(needs[key] - was[key], was[key], needs[key]) for key in needs.keys() & was.keys()]
    missing, had, need = max(pairs, default=(0.0, 0.0, 0.0))
    if missing <= 0:
        return ""
    units = known.thread.units
    return f"Some strings may run short: one was cut {length_words(had, units)}, and needs {length_words(need, units)}."
