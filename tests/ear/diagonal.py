"""A maker of a diagonal band who only hears: finds every knot from the prompts, and the strings as they hang."""

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from tests.ear.phrases import CHART, MORE, POSITION, Words, knots_pattern, one_of, understood

STRINGS = {"f": (0, 1), "fb": (0, 1), "b": (1, 0), "bf": (1, 0)}
"""For each kind of knot which of the two strings is knotted over the other: 0 the left one, 1 the right one."""
SWAPS = ("f", "b")
_FOR, _GOING = re.compile(r"for (?P<count>\d+) knots"), re.compile(r"pairs( to the)? (?P<side>right|left)")

_WRONG_PAIR = re.compile(r"(take out )?(string )?(?P<left>\d+) and (string )?(?P<right>\d+)")
"""The place of a wrong knot of which nobody knows how it was made."""
_STRING_AND_WAY = re.compile(rf"(?P<at>{POSITION}) (?P<way>pairs (right|left))")
"""In the shortest words there is no pause between them."""


class Made(NamedTuple):
    """A knot: the position of the pair's left string, the kind, and the numbers of its two strings."""

    left: int
    kind: str
    knotting: int
    passive: int


class Band:
    """Knows the strings as they hang, their colours, the knots it has made and what it heard, but has no chart."""

    def __init__(self, colours: Sequence[str], naming: Mapping[str, str] = CHART) -> None:
        """`colours` are those of the strings from the left."""
        self.colours = list(colours)
        self.hanging = list(range(1, len(self.colours) + 1))
        self.made: list[Made] = []
        self.last: Made | None = None
        """The knot heard last: its string is in hand, its kind goes on. None where nothing was heard."""
        self.puts_down = False
        """True after the last knot of a run."""
        self._is_last = False
        self.announced = 0
        """How many knots are made when the string in hand has made all that were announced; 0 where none were."""
        self.leads: list[str] = []
        self.part_done = ""
        self._naming = naming
        self._names = {kind: name for name, kind in naming.items()}
        some = list(dict.fromkeys(self.colours))
        self._knots = knots_pattern(naming, some)
        self._last = re.compile(rf"last( with (?P<colour>{one_of(some)}))?")
        over = rf"(?P<colour>{one_of(some)}) over (?P<over>{one_of(some)})"
        self._over = re.compile(over)
        self._undo = re.compile(rf"undo( (?P<count>\d+)| (?P<knot>{one_of(list(naming))}))?")
        self._back_to = re.compile(rf"back to (?P<knot>{one_of(list(naming))})")
        self._back = re.compile(rf"(?P<colour>{one_of(some)}) back")
        self._take_out = re.compile(rf"take out( (?P<knot>{one_of(list(naming))}))?")
        self._take_out_at = re.compile(r"take out (?P<at>(?!the last|last).+)")

    # What to do.

    def hears(self, text: str) -> list[Made]:
        """The knots to tie now. Checks that every phrase is understood and agrees with the strings as they hang."""
        words = Words(text)
        self.leads, self.part_done = words.leads, words.part_done
        return self._to_do(words)

    def _to_do(self, words: Words) -> list[Made]:
        hanging, found = list(self.hanging), list[Made]()
        string, left, onward = (self.last.knotting if self.last else 0), 0, 0
        picked_up = False
        goes_on = True
        while goes_on:
            place = self._string(words, hanging)
            if place:
                string, picked_up = hanging[place - 1], True
                left, onward = 0, self._onward(words)
            understood(string, words.words, "no string is in hand")
            understood(picked_up or not self.puts_down, words.words, "the string in hand was put down")
            for kind, over in self._kinds(words, found, string):
                found.append(self._next(words, hanging, string, left, kind))
                understood(over in (None, self.colours[found[-1].passive - 1]), words.words, "another string is there")
                if onward:
                    left = found[-1].left + onward
                    # The string that makes the next knot is known only when its kind is.
                    string = found[-1].knotting
            goes_on = words.goes_on()
        self._ends(words, found[-1])
        return found

    def _string(self, words: Words, hanging: Sequence[int]) -> int | None:
        """Takes `COLOUR, POSITION` or a position."""
        colour = words.colour(self.colours)
        together = words.match(_STRING_AND_WAY)
        if together:
            words.put_back(together["way"])
            words.put_back(together["at"])
        place = words.position(len(hanging))
        understood(place or not colour, words.words, "the colour has no position")
        if place and colour:
            understood(self.colours[hanging[place - 1] - 1] == colour, words.words, f"no {colour} hangs there")
        return place

    def _onward(self, words: Words) -> int:
        """Takes `for 3 knots` or `pairs to the right`; how far it is from one pair to the next, 0 for one string."""
        many = words.match(_FOR)
        self.announced = len(self.made) + int(many["count"]) if many else 0
        side = words.match(_GOING)
        return {"right": 2, "left": -2}[side["side"]] if side else 0

    def _kinds(self, words: Words, found: Sequence[Made], string: int) -> list[tuple[str, str | None]]:
        """Takes the kinds of the next knots, each with the colour it is knotted over, where that was said."""
        match = words.match(self._knots)
        if match:
            count = 1 if match["count"] in (None, "one") else int(match["count"])
            understood(count > 1 or not (match["count"] or "").isdigit(), words.words, "one knot has no number")
            return [(self._naming[match["knot"]], match["over"])] * count
        # A number or `last` alone: as before.
        kind = self.last.kind if self.last else ""
        understood(kind and not found, words.words, "the kind is not known")
        if words.next.isdigit():
            number = words.take()
            understood(self.last and string == self.last.knotting, words.words, "another string has no number")
            understood(int(number) == self.made_in_a_row() + 1, words.words, "the count is another one")
        else:
            understood(self._last.fullmatch(words.next), words.words)
        return [(kind, None)]

    def _next(self, words: Words, hanging: list[int], string: int, left: int, kind: str) -> Made:
        """Ties, in thought, the knot of this kind with the string in hand, or at the pair that begins at `left`."""
        left = left or hanging.index(string) + (1 if STRINGS[kind][0] == 0 else 0)
        understood(1 <= left < len(hanging), words.words, "there is no neighbour")
        return _tied(hanging, left, kind)

    def _ends(self, words: Words, made: Made) -> None:
        last = words.match(self._last)
        if last:
            understood(last["colour"] in (None, self.colours[made.knotting - 1]), words.words, "another string")
            understood(
                self.made_in_a_row(made.knotting), words.words, "the only knot of a string is not called the last"
            )
            understood(self.announced in (0, len(self.made) + 1), words.words, "another number was announced")
        words.ends()
        self._is_last = bool(last)

    def made_in_a_row(self, string: int = 0) -> int:
        """How many knots the string in hand, or another one, has made since its pick-up."""
        string = string or (self.made[-1].knotting if self.made else 0)
        made = 0
        while made < len(self.made) and self.made[-1 - made].knotting == string:
            made += 1
        return made

    def ties(self, made: Made) -> None:
        """Ties a knot."""
        _tied(self.hanging, made.left, made.kind)
        self.made.append(made)
        self.last, self.puts_down = made, self._is_last

    # What to undo.

    def undoes(self, text: str, count: int = 1) -> str:
        """Undoes the last knots, checks the words about it, and returns those about the next step, if any."""
        words = Words(text)
        self.announced = 0
        for _ in range(count):
            made = self.made[-1]
            self.take(made)
        self.last = None
        undo = words.match(self._undo)
        if not undo:
            return text
        if words.goes_on():
            understood(undo["count"] in (None, str(count)), text, "another count")
            understood(undo["knot"] is None or self._naming[undo["knot"]] == made.kind, text, "another knot")
            return words.rest
        understood(int(undo["count"] or 1) == count, text, "another count")
        knot = undo["knot"]
        if undo["count"]:
            back_to = words.match(self._back_to)
            understood(back_to, text)
            knot = back_to["knot"] if back_to else None
        understood(knot is None or self._naming[knot] == made.kind, text, "another knot")
        self._agrees(words, made)
        back = words.match(self._back)
        if back:
            understood(back["colour"] == self.colours[made.knotting - 1], text, "another string went back")
            at = words.position(len(self.hanging))
            understood(at and self.hanging[at - 1] == made.knotting, text, "it hangs elsewhere")
        if words.goes_on():
            return words.rest
        words.ends()
        self.last = made
        return ""

    def takes_out(self, text: str) -> tuple[Made, int | None]:
        """Takes out a knot on the way to a wrong one; returns it and how many more there are, where that is said."""
        words = Words(text)
        self.announced = 0
        if words.next == "take out the wrong knot":
            words.take()
        pair = words.match(_WRONG_PAIR)
        if pair:
            return self._taken_out(self.wrong_one(int(pair["left"]), int(pair["right"]), text), words)
        match = words.match(self._take_out)
        if match:
            made_of = self._naming[match["knot"]] if match["knot"] else None
            over = words.match(self._over)
            place = words.position(len(self.hanging))
        else:
            made_of = over = None
            place = Words(text.removeprefix("take out ")).position(len(self.hanging))
            words.take()
        understood(place, text, "no position")
        string = self.hanging[(place or 0) - 1]
        made = next((made for made in reversed(self.made) if string in (made.knotting, made.passive)), None)
        understood(made and made.knotting == string, text, "that string made no knot there")
        assert made
        understood(made_of in (None, made.kind), text, "another knot")
        if over:
            self._same_colours(over, made, text)
        return self._taken_out(made, words)

    def _taken_out(self, made: Made, words: Words) -> tuple[Made, int | None]:
        more = words.match(MORE)
        words.ends()
        self.take(made)
        self.last = None
        return made, int(more["more"] or 0) if more else None

    def wrong_one(self, left: int, right: int, text: str) -> Made:
        """The knot that was made last at a pair, however it was made."""
        understood(right == left + 1, text, "they are no neighbours")
        found = next((made for made in reversed(self.made) if made.left == left), None)
        understood(found, text, "no knot is there")
        assert found
        return found

    def _agrees(self, words: Words, made: Made) -> None:
        over = words.match(self._over)
        if over:
            self._same_colours(over, made, words.words)

    def _same_colours(self, over: "re.Match[str]", made: Made, text: str) -> None:
        understood(over["colour"] == self.colours[made.knotting - 1], text, "another string")
        understood(over["over"] == self.colours[made.passive - 1], text, "over another string")

    def take(self, made: Made) -> None:
        """Takes out a knot that no other rests on."""
        at = len(self.made) - 1 - self.made[::-1].index(made)
        assert not any({made.knotting, made.passive} & {above.knotting, above.passive} for above in self.made[at + 1 :])
        del self.made[at]
        if made.kind in SWAPS:
            left = made.left
            self.hanging[left - 1 : left + 1] = self.hanging[left - 1 : left + 1][::-1]
        self.puts_down = self._is_last = False


def _tied(hanging: list[int], left: int, kind: str) -> Made:
    """Ties a knot on the strings as they hang."""
    pair = hanging[left - 1 : left + 1]
    knotting, passive = (pair[at] for at in STRINGS[kind])
    if kind in SWAPS:
        hanging[left - 1 : left + 1] = pair[::-1]
    return Made(left, kind, knotting, passive)
