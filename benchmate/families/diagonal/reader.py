"""Reading the strings and rows of a diagonal band."""

import re
from itertools import chain, repeat

from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.knots import Knot
from benchmate.craft.wording.counting import counted
from benchmate.families.diagonal.body import Diagonal, Row, pairs_that_fit, usual_start
from benchmate.families.diagonal.work import order_after_one_repeat
from benchmate.files.family_reader import FamilyReader
from benchmate.files.fields import Faults, Fields
from benchmate.files.safe_text import bounded_number, is_whole_number, quoted
from benchmate.files.strings import Colours, read_strings
from benchmate.files.tree import MappingNode, Node, ScalarNode, SequenceNode

KEYS = ("strings", "rows")
"""The keys of family `diagonal`, besides the common ones."""

_KNOTS: dict[str, Knot | None] = {**{knot.value: knot for knot in Knot}, "-": None}
_KNOWN = "f, b, fb, bf, and - for no knot"
_TOKEN = re.compile(r"[^ \t\r\n]+")
# Larger than any row or band, so a larger count gets the same error.
_MOST_COUNTED = 999_999_999


def read_diagonal(fields: Fields, colours: Colours | None) -> Diagonal | None:
    """The strings and rows; None when they are too faulty to check as a whole.

    A faulty row is in the result without knots, where its start is known.
    """
    strings = read_strings(fields, colours, least=2, needed=True)
    node = fields.sequence("rows", needed=True, what=" of rows of knots, such as `- f b`")
    if node is None:
        return None
    faults = fields.faults
    if not node.items:
        faults.error(node, "`rows` is empty; add at least one row, such as `- f b`")
        return None
    reader = _Rows(None if strings is None else len(strings), faults)
    for number, item in enumerate(node.items, 1):
        reader.read(number, item)
    if reader.steps > MOST_STEPS:
        faults.error(node, f"the rows make {reader.steps} steps; the limit is {MOST_STEPS}")
        return None
    return Diagonal(strings, tuple(reader.rows)) if strings is not None and reader.starts_known else None


class _Rows:
    """Reads rows in order; `strings` is the number of strings, None when it is unknown."""

    def __init__(self, strings: int | None, faults: Faults) -> None:
        self.strings = strings
        self.faults = faults
        self.rows: list[Row] = []
        self.steps = 0
        self.starts_known = True
        # Bands repeat rows, so this keeps the knots and the steps of each good row, by its text and number of pairs.
        self.known: dict[tuple[str, int], tuple[tuple[Knot | None, ...], int]] = {}

    def read(self, number: int, node: Node) -> None:
        """Read row `number` of the file."""
        start: int | None = usual_start(number)
        text: ScalarNode | None = None
        if isinstance(node, ScalarNode):
            text = node
        elif isinstance(node, MappingNode):
            parts = Fields(node, ("start", "knots"), self.faults, f" from row {number} on line {node.line}")
            if any(key not in ("start", "knots") for key in node.entries):
                start = None  # The unknown key may be a misspelt `start`, so the knots cannot be checked.
            elif "start" in parts:
                start = parts.whole_number("start", 1, self.strings or MOST_STRINGS)
            text = parts.scalar("knots", needed=True, what='the knots of a row, such as "f b"')
        elif isinstance(node, SequenceNode):
            self.faults.error(node, _no_list(node))
        if start is None:
            self.starts_known = False
        knots = self._knots(text, start) if text is not None else ()
        self.rows.append(Row(start or usual_start(number), knots))

    def _knots(self, text: ScalarNode, start: int | None) -> tuple[Knot | None, ...]:
        """The knots of one row; empty when the row is wrong or the band too large."""
        if self.strings is None or start is None:
            self._tokens(text)
            return ()
        pairs = pairs_that_fit(self.strings, start)
        found = self.known.get((text.text, pairs))
        if found is None:
            found = self._new_knots(text, start, pairs)
            if found is None:
                return ()
            self.known[text.text, pairs] = found
        knots, steps = found
        self.steps += steps
        # Past the limit the band is an error anyway, and a short file must not fill the memory.
        return knots if self.steps <= MOST_STEPS else ()

    def _new_knots(self, text: ScalarNode, start: int, pairs: int) -> tuple[tuple[Knot | None, ...], int] | None:
        """The knots and the number of steps of a new row; None, and an error, when it is faulty."""
        try:
            knots = tuple([_KNOTS[token] for token in text.text.split(" ") if token])
        except KeyError:
            counted = self._tokens(text)
            if counted is None:
                return None
            count = sum(times for _, times in counted)
            if count == pairs:
                knots = tuple(chain.from_iterable(repeat(knot, times) for knot, times in counted))
        else:
            count = len(knots)
        if count != pairs:
            self.faults.error(text, _wrong_count(count, pairs, start, self.strings or 0))
            return None
        return knots, pairs - knots.count(None)

    def _tokens(self, text: ScalarNode) -> list[tuple[Knot | None, int]] | None:
        """The tokens of the row with their counts, not expanded; None, and an error, when one is faulty."""
        counted: list[tuple[Knot | None, int]] = []
        good = True
        for found in _TOKEN.finditer(text.text):
            token = found[0]
            base, star, digits = token.partition("*")
            count = bounded_number(digits, _MOST_COUNTED) if star and is_whole_number(digits) else 0 if star else 1
            if base in _KNOTS and count:
                counted.append((_KNOTS[base], count))
            else:
                good = False
                further = 0 if text.inside is None else text.inside + found.start()
                self.faults.error(text, _bad_token(token, base), further)
        return counted if good else None


def _no_list(node: SequenceNode) -> str:
    if node.flow:
        return "a row must be text, not a list in square brackets; put spaces between the knots, such as `- f b`"
    return 'a row that begins with - goes in quotes, such as `- "- f b"`; without them it is a list within the list'


def _wrong_count(count: int, pairs: int, start: int, strings: int) -> str:
    tokens = f"more than {_MOST_COUNTED} tokens" if count > _MOST_COUNTED else counted(count, "token")
    if pairs == 0:
        return f'the row has {tokens} but no pair of {strings} strings fits from position {start}; leave it empty: `""`'
    fit = f"{counted(pairs, 'pair')} of {strings} strings {'fits' if pairs == 1 else 'fit'} from position {start}"
    return f"the row has {tokens} but {fit}; write one token for each pair"


def _bad_token(token: str, base: str) -> str:
    if not base:
        return f"{quoted(token)} has no knot before the *; write it without a space, such as f*4"
    if base in _KNOTS:
        return f"{quoted(token)} needs a whole number of 1 or more after the *, such as {base}*4"
    near = _near(base)
    meant = f"; did you mean {quoted(near)}?" if near else "."
    return f"unknown knot {quoted(token)}{meant} The knots are {_KNOWN}"


def _near(token: str) -> str | None:
    """The knot the person may have meant."""
    lower = token.lower()
    for length in (len(lower), 2, 1):
        if lower[:length] in _KNOTS:
            return lower[:length]
    # Dashes and other characters that look like a hyphen.
    return "-" if lower[0] in "_.~\u2010\u2011\u2012\u2013\u2014\u2212" else None


class DiagonalReader(FamilyReader[Diagonal]):
    """Reads the strings and rows of a diagonal band."""

    keys = KEYS

    def read(self, fields: Fields, colours: Colours | None) -> Diagonal | None:
        """The body, or None."""
        return read_diagonal(fields, colours)

    def check(self, fields: Fields, body: Diagonal, repeats: int) -> None:
        """Warns when a repeat ends with the colours in a different order."""
        if repeats == 1:
            return
        after = order_after_one_repeat(body)
        if after != body.strings:
            moved = next(at for at, pair in enumerate(zip(after, body.strings, strict=True), 1) if pair[0] != pair[1])
            message = (
                f"after one repeat the colours hang in a different order (position {moved} has "
                f"{quoted(after[moved - 1])} instead of {quoted(body.strings[moved - 1])}), so the pattern changes"
            )
            fields.faults.warning(fields.entry("repeats").value, message)
