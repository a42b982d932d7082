"""A maker of a braid on a disk who only hears: moves strands from slot to slot."""

import re
from collections.abc import Mapping
from typing import NamedTuple

from tests.ear.phrases import MORE, Words, one_of, understood


class Moved(NamedTuple):
    """A move, from a slot to a slot."""

    source: int
    target: int


class Disk:
    """Knows which strand lies in which slot, by colour."""

    def __init__(self, strands: Mapping[int, str]) -> None:
        self.strands = dict(strands)
        self.made: list[Moved] = []
        self.leads: list[str] = []
        self.part_done = ""
        self._colours = list(dict.fromkeys(strands.values()))
        self._move = re.compile(r"(?P<source>\d+) to (?P<target>\d+)")
        self._undo = re.compile(r"undo( (?P<count>\d+)| (?P<source>\d+) to (?P<target>\d+))?")
        self._back_to = re.compile(r"back to (?P<source>\d+) to (?P<target>\d+)")
        self._take_out = re.compile(r"move back (?P<target>\d+) to (?P<source>\d+)")
        self._in_chart = re.compile(r"in the chart (?P<source>\d+) to (?P<target>\d+)")
        self._colour = re.compile(one_of(self._colours))

    def hears(self, text: str) -> list[Moved]:
        """The moves to make now."""
        words = Words(text)
        self.leads, self.part_done = words.leads, words.part_done
        strands, found = dict(self.strands), list[Moved]()
        goes_on = True
        while goes_on:
            match = words.match(self._move)
            understood(match, text)
            assert match
            move = _moved(match)
            _carry(strands, move, text)
            colour = words.match(self._colour)
            understood(not colour or colour[0] == strands[move.target], text, "another strand lies there")
            found.append(move)
            goes_on = words.goes_on()
        words.ends()
        return found

    def ties(self, move: Moved) -> None:
        """Makes a move."""
        _carry(self.strands, move, str(move))
        self.made.append(move)

    def undoes(self, text: str, count: int = 1) -> str:
        """Takes back the last moves, checks the words about it, and returns those about the next step, if any."""
        words = Words(text)
        for _ in range(count):
            move = self.made.pop()
            _carry(self.strands, Moved(move.target, move.source), text)
        named, rest = words.undo(self._undo, self._back_to, count)
        if named is None:
            return rest
        understood(named["source"] is None or _moved(named) == move, text, "another move")
        colour = words.match(self._colour)
        understood(not colour or colour[0] == self.strands[move.source], text, "another strand")
        if words.goes_on():
            return words.rest
        words.ends()
        return ""

    def takes_out(self, text: str) -> tuple[Moved, int | None]:
        """Moves a strand back on the way to a wrong move; returns the move and how many more there are."""
        words = Words(text)
        if words.next == "take back the wrong move":
            words.take()
            charted = words.match(self._in_chart)
            understood(self.made, text, "no move was made")
            move = _moved(charted) if charted else self.made[-1]
        else:
            match = words.match(self._take_out)
            understood(match, text)
            assert match
            move = _moved(match)
        understood(self.made and move == self.made[-1], text, "not the last move")
        colour = words.match(self._colour)
        understood(not colour or colour[0] == self.strands[move.target], text, "another strand")
        more = words.match(MORE)
        words.ends()
        _carry(self.strands, Moved(move.target, move.source), text)
        self.made.pop()
        return move, int(more["more"] or 0) if more else None


def _moved(match: "re.Match[str]") -> Moved:
    return Moved(int(match["source"]), int(match["target"]))


def _carry(strands: dict[int, str], move: Moved, text: str) -> None:
    understood(move.source in strands, text, "no strand lies there")
    understood(move.target not in strands, text, "that slot is taken")
    strands[move.target] = strands.pop(move.source)
