"""A maker with hands and ears: ties what is said on strings of its own, once wrongly, and notices it later."""

import re
from collections.abc import Sequence

from tests.ear.diagonal import STRINGS, SWAPS, Band, Made
from tests.ear.lines import knot_of_band, knot_out_of_band
from tests.ear.phrases import CHART, NotUnderstood, one_of

_CHOICE = re.compile(
    rf"(Which is wrong\? )?row \d+, knot (?P<number>\d+), (?P<knot>{one_of(list(CHART))}), .*", re.DOTALL
)


class Hands:
    """The strings of a band in the hands: every knot as it was really tied."""

    def __init__(self, colours: Sequence[str], wrong_at: int, wrong_kind: str, *, reads: bool = False) -> None:
        """The knot after `wrong_at` others is tied as `wrong_kind`, whatever was said. `reads` lines, or hears."""
        self._reads = reads
        self.heard = Band(colours)
        """As it ought to be."""
        self.felt = Band(colours)
        """As it is."""
        self._wrong = (wrong_at, wrong_kind)

    @property
    def has_erred(self) -> bool:
        """True when a knot is not what was said."""
        return [made.kind for made in self.felt.made] != [made.kind for made in self.heard.made]

    def notices(self, words: str) -> bool:
        """True when the words do not fit the strings as they are felt."""
        try:
            self._felt_now(words)
        except NotUnderstood:
            return True
        return False

    def _felt_now(self, words: str) -> list[Made]:
        """The knots that the words mean on the strings as they are."""
        last = self.heard.last
        self.felt.last = None if last is None else self.felt.made[self.heard.made.index(last)]
        self.felt.puts_down = self.heard.puts_down
        return self._knots(self.felt, words)

    def _knots(self, band: Band, words: str) -> list[Made]:
        return [knot_of_band(band, words)] if self._reads else band.hears(words)

    def tie(self, words: str) -> None:
        """Ties what the words say; once, the wrong kind."""
        for made, felt in zip(self._knots(self.heard, words), self._felt_now(words), strict=True):
            kind = felt.kind
            if len(self.heard.made) == self._wrong[0]:
                kind, self._wrong = self._wrong[1], (-1, "")
            pair = self.felt.hanging[felt.left - 1 : felt.left + 1]
            self.heard.ties(made)
            self.felt.ties(Made(felt.left, kind, *(pair[at] for at in STRINGS[kind])))

    def is_wrong(self, words: str) -> bool:
        """True when the knot that is named is tied otherwise; the knots are counted in the order they were tied."""
        match = _CHOICE.fullmatch(words)
        if not match:
            raise NotUnderstood(words)
        return self.felt.made[int(match["number"]) - 1].kind != CHART[match["knot"]]

    def take_out(self, words: str) -> int | None:
        """Takes out the knot that the words name; returns how many more there are, where that is said."""
        before = list(self.heard.made)
        made, more = (knot_out_of_band(self.heard, words), None) if self._reads else self.heard.takes_out(words)
        at = len(before) - 1 - before[::-1].index(made)
        felt = self.felt.made.pop(at)
        if felt.kind in SWAPS:
            self.felt.hanging[felt.left - 1 : felt.left + 1] = self.felt.hanging[felt.left - 1 : felt.left + 1][::-1]
        return more
