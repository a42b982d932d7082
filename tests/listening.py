"""Prompts as the maker hears them: a count of their words, and a listener who finds every knot from them."""

import re
from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.orders import Order
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt
from benchmate.families.diagonal.body import DiagonalKnot
from tests.charts import tie_by_hand

TOKENS = {"forward": "f", "backward": "b", "forward-backward": "fb", "backward-forward": "bf"}
KNOT = r"(?P<knot>forward-backward|backward-forward|forward|backward)"
END = re.compile(r"all out|(row|repeat)( \d+( of \d+)?)? done|row \d+( of \d+)?")
STRING = re.compile(r"(from )?(?P<say>\w+) at (?P<at>\d+)( for \d+ knots)?( to the (?P<side>right|left))?")
KNOTS = re.compile(rf"((?P<count>\d+) )?{KNOT}( over (?P<over>\w+))?")
TAKE_OUT = re.compile(rf"take out {KNOT}, (?P<say>\w+) at (?P<at>\d+)( over (?P<over>\w+))?, (?P<more>.+)")
UNDONE = re.compile(
    rf"undo {KNOT}(, (?P<say>\w+) over (?P<over>\w+))?(, \w+ back at (?P<back>\d+))?(, then (?P<then>.+))?"
)


def count(words: str) -> int:
    """The number of spoken words: a name with a hyphen is two, a number as many as it takes to say."""
    return sum(_in_number(int(word)) if word.isdigit() else 1 for word in re.findall(r"\w+", words))


def _in_number(number: int) -> int:
    """The number of words in a number up to 999: `twenty one`, `one hundred seven`."""
    hundreds, rest = divmod(number, 100)
    below = 2 if rest > 20 and rest % 10 else int(rest > 0 or not hundreds)
    return below + 2 * (hundreds > 0)


def at_each_level(
    whole: WholePiece,
    progress: Progress,
    happened: Happened,
    steps: Sequence[int] = (),
    *,
    out: Sequence[int] = (),
    ahead: Sequence[int] = (),
) -> dict[Level, str]:
    """The prompt at the three levels; no level may have more words than the one before."""
    said = {level: prompt(whole, progress, happened, steps, level, out=out, ahead=ahead) for level in Level}
    full, short, sparse = map(count, said.values())
    assert sparse <= short <= full, said
    return said


def ahead_of(progress: Progress, press: str) -> list[int]:
    """The steps one press counts."""
    if press == "knot":
        return progress.coming(1)
    return progress.rest_of_run() if press == "run" else progress.rest_of_row()


def followed(whole: WholePiece, order: Order, press: str = "knot") -> list[dict[Level, str]]:
    """Every prompt of a piece, from the first to the last."""
    progress = Progress(whole, order)
    ahead = ahead_of(progress, press)
    said = [at_each_level(whole, progress, Happened.RESUMED, ahead=ahead)]
    while ahead:
        for number in ahead:
            progress.tie(number)
        tied, ahead = ahead, ahead_of(progress, press)
        said.append(at_each_level(whole, progress, Happened.TIED, tied, ahead=ahead))
    return said


class Made(NamedTuple):
    """A knot: the position of the pair's left string, its token, and the numbers of its two strings."""

    left: int
    token: str
    knotting: int
    passive: int


class Listener:
    """Knows the strings as they hang, their colours, the tied knots and the last knot heard, but has no chart."""

    def __init__(self, colours: Sequence[str]) -> None:
        self.colours = colours
        self.hanging = list(range(1, len(colours) + 1))
        self.tied: list[Made] = []
        self.last: Made | None = None
        self.puts_down = False

    def hears(self, words: str) -> list[Made]:
        """The knots to tie now. Checks that every word is understood and agrees with the strings as they hang."""
        hanging, found = list(self.hanging), list[Made]()
        string, left, onward, named, last = (self.last.knotting if self.last else 0), 0, 0, False, False
        for piece in (piece for piece in words.split(", ") if not END.fullmatch(piece)):
            if match := STRING.fullmatch(piece):
                string, left, named = hanging[int(match["at"]) - 1], 0, True
                onward = {"right": 2, "left": -2, None: 0}[match["side"]]
                assert self.colours[string - 1] == match["say"]
            elif match := KNOTS.fullmatch(piece):
                for _ in range(int(match["count"] or 1)):
                    found.append(self._next(hanging, string, left, TOKENS[match["knot"]]))
                    left = found[-1].left + onward if onward else 0
                    assert match["over"] in (None, self.colours[found[-1].passive - 1])
            elif piece in ("last", f"last with {self.colours[string - 1]}"):
                last = True
            else:
                assert piece == str(self.made_in_a_row() + 1), f"not understood: {piece} in {words}"
        if not found:
            assert self.last
            found.append(self._next(hanging, string, 0, self.last.token))
        assert named or not self.puts_down, "the string was put down"
        self.puts_down = last
        return found

    def _next(self, hanging: list[int], string: int, left: int, token: str) -> Made:
        """The knot of this kind with the string in hand, or at the pair that begins at `left`; ties it too."""
        left = left or hanging.index(string) + (1 if token in ("f", "fb") else 0)
        assert 1 <= left < len(hanging)
        knotting, passive = tie_by_hand(hanging, left, token)
        return Made(left, token, knotting, passive)

    def made_in_a_row(self) -> int:
        """How many knots the string in hand has made since its pick-up."""
        made = 0
        while made < len(self.tied) and self.tied[-1 - made].knotting == self.tied[-1].knotting:
            made += 1
        return made

    def ties(self, made: Made) -> None:
        """Ties a knot."""
        tie_by_hand(self.hanging, made.left, made.token)
        self.tied.append(made)
        self.last = made

    def undoes(self, words: str) -> str:
        """Undoes the last knot, checks the words about it, and returns the words about the next step."""
        match = UNDONE.fullmatch(words)
        assert match, f"not understood: {words}"
        made = self.tied[-1]
        self._take_out(made)
        assert match["back"] in (None, str(self.hanging.index(made.knotting) + 1))
        self._agrees(match, made)
        self.last = made if match["then"] is None else None
        return match["then"] or ""

    def takes_out(self, words: str) -> tuple[Made, int]:
        """Takes out a knot on the way to a wrong one; returns it and how many more there are."""
        match = TAKE_OUT.fullmatch(words)
        assert match, f"not understood: {words}"
        string = self.hanging[int(match["at"]) - 1]
        made = next(made for made in reversed(self.tied) if string in made[2:])
        self._agrees(match, made)
        assert made.knotting == string
        self._take_out(made)
        self.last = None
        more = re.fullmatch(r"(the )?last( one to take out)?|(?P<more>\d+) more( to take out)?", match["more"])
        assert more
        return made, int(more["more"] or 0)

    def _agrees(self, match: re.Match[str], made: Made) -> None:
        assert TOKENS[match["knot"]] == made.token
        assert match["say"] in (None, self.colours[made.knotting - 1])
        assert match["over"] in (None, self.colours[made.passive - 1])

    def _take_out(self, made: Made) -> None:
        at = len(self.tied) - 1 - self.tied[::-1].index(made)
        del self.tied[at]
        tie_by_hand(self.hanging, made.left, made.token)
        self.puts_down = False


def made_by(whole: WholePiece, number: int) -> Made:
    """A step as the listener finds it."""
    step = whole.step(number)
    assert isinstance(step, DiagonalKnot)
    return Made(step.left, step.knot.value, step.knotting, step.passive)
