"""A maker of a picture who only hears: finds every knot from the prompts, and which leading string makes it."""

import re
from collections.abc import Container, Mapping, Sequence
from typing import NamedTuple

from tests.ear.phrases import CHART, MORE, POSITION, Words, knots_pattern, one_of, position, understood

RIGHTWARDS = {"f": True, "b": False}
OTHER = {"f": "b", "b": "f"}
_KNOW = re.compile(
    r"(?P<strings>\d+) leading strings? in all.*?; (?P<ends>\d+) ends to hide"
    r"(\. Floats pass behind up to .*? on its way)?, "
)
_TAIL = re.compile(r"leave a \d+ cm tail")
_TURN = re.compile("turn")
_WAY = re.compile(r"(?P<count>\d+) (?P<unit>knot|row)s? (away|back)")


class PictureKnot(NamedTuple):
    """A knot: its row, its column from the left, its kind, and the number of its leading string as begun, from 1."""

    row: int
    column: int
    kind: str
    string: int


class _Entry(NamedTuple):
    """A knot made, its place in working order, the colour of its string, and the string cut before it, or 0."""

    knot: PictureKnot
    place: int
    colour: str
    cut: int


class _Taken(NamedTuple):
    """What the words before the knots say: the string in hand then, its colour, and the string cut, or 0."""

    string: int
    colour: str
    cut: int
    is_taken: bool = True
    """False where the string in hand stays there."""


class _Strings:
    """The leading strings as they hang: of each its colour and the knot it waits behind; and the first open place."""

    def __init__(self) -> None:
        self.hanging: dict[int, tuple[str, PictureKnot]] = {}
        self.in_hand = self.begun = self.open = self.row = 0
        self.first = ""
        """The kind of the knots of row 1."""

    def copy(self) -> "_Strings":
        """The same, to go on with in thought."""
        other = _Strings()
        other.hanging = dict(self.hanging)
        other.in_hand, other.begun, other.open, other.row = self.in_hand, self.begun, self.open, self.row
        other.first = self.first
        return other

    def make(self, entry: _Entry, made: Container[int]) -> None:
        """Makes a knot, where those at the places `made` are made besides."""
        knot = entry.knot
        self.hanging.pop(entry.cut, None)
        self.hanging[knot.string] = (entry.colour, knot)
        self.in_hand, self.row, self.begun = knot.string, knot.row, max(self.begun, knot.string)
        if knot.row == 1:
            self.first = knot.kind
        while self.open == entry.place or self.open in made:
            self.open += 1


class Picture:
    """Knows how wide the picture is, the strings that hang, where each waits, and what it heard; but has no chart."""

    def __init__(self, columns: int, colours: Sequence[str], naming: Mapping[str, str] = CHART) -> None:
        """`colours` are those of the leading strings that lie ready."""
        self.columns = columns
        self.leads: list[str] = []
        self.part_done = ""
        self.strings_in_all = 0
        """How many strings are needed, where that was said."""
        self._made: list[_Entry] = []
        self._places: set[int] = set()
        self._strings = _Strings()
        self._left = 0
        """How many knots of the stretch are left, as announced; 0 where nothing was heard of it."""
        self._lefts: list[int] = []
        """The same after each knot."""
        self._left_again: int | None = None
        """The same after the knot that was undone, and is tied again now."""
        self.kind = ""
        self._coming: list[_Entry] = []
        self._colours = list(dict.fromkeys(colours))
        self._naming = naming
        self._knots = knots_pattern(naming, self._colours)
        one, knot = one_of(self._colours), one_of(list(naming))
        self._cut = re.compile(rf"cut( (?P<colour>{one}))?")
        self._begin = re.compile(rf"begin (?P<which>a new |another )?(?P<colour>{one})")
        where = rf"( (?P<at>{POSITION})(?P<row> in row \d+)?)?"
        self._bring = re.compile(rf"bring (?P<which>earlier |later )?(?P<colour>{one})( across( the back)?)?{where}")
        self._near = re.compile(rf"pick up (?P<which>earlier |later )?(?P<colour>{one}){where}")
        self._in_one_breath = re.compile(
            rf"(?P<take>bring |pick up )?(?P<string>(earlier |later )?({one}) ({POSITION})) "
            rf"(?P<knots>\d+( ({knot}))?|{knot})"
        )
        """In the shortest words there is no pause between a string, its place and the knots."""
        self._undo = re.compile(rf"undo( (?P<count>\d+)| (?P<knot>{knot}))?")
        self._back_to = re.compile(rf"back to (?P<knot>{knot})")
        self._take_out = re.compile(rf"take out (?P<knot>{knot})")

    @property
    def made(self) -> list[PictureKnot]:
        """The knots, in the order in which they were made."""
        return [entry.knot for entry in self._made]

    @property
    def colours(self) -> dict[tuple[int, int], str]:
        """The colour of every knot, by row and column."""
        return {(knot.row, knot.column): colour for knot, _, colour, _ in self._made}

    @property
    def hanging(self) -> dict[int, tuple[str, PictureKnot]]:
        """The leading strings that hang, by number: the colour, and the knot each waits behind."""
        return self._strings.hanging

    @property
    def in_hand(self) -> int:
        """The string in hand, which made the last knot; 0 where there is none."""
        return self._strings.in_hand

    def colour_of(self, string: int) -> str:
        """The colour of a string that hangs, or is announced to be begun now."""
        found = {entry.knot.string: entry.colour for entry in self._coming}
        return found.get(string) or self.hanging[string][0]

    @property
    def row(self) -> int:
        """The row of the first open knot."""
        return self._strings.open // self.columns + 1

    @property
    def made_in_row(self) -> int:
        """How many knots before that are made in its row."""
        return self._strings.open % self.columns

    @property
    def begun(self) -> int:
        """How many leading strings have been begun."""
        return self._strings.begun

    # What to do.

    def hears(self, text: str) -> list[PictureKnot]:
        """All knots announced to come now. Checks that every phrase is understood and agrees with the strings."""
        words = Words(text)
        self.leads, self.part_done, self._left_again = words.leads, words.part_done, None
        know = _KNOW.match(words.rest + ", ")
        if know:
            understood(not self._made, text, "that is said before the first knot")
            understood(int(know["ends"]) == 2 * int(know["strings"]), text, "two ends a string")
            self.strings_in_all = int(know["strings"])
            words = Words(words.rest[know.end() :])
        strings, self._coming = self._strings.copy(), []
        goes_on = True
        while goes_on:
            self._stretch(words, strings)
            goes_on = words.goes_on()
        words.ends()
        return [entry.knot for entry in self._coming]

    def _stretch(self, words: Words, strings: _Strings) -> None:
        """One stretch: the string, then how many knots, or one more of them."""
        turns = bool(words.match(_TURN))
        row = strings.open // self.columns + 1
        taken = self._taken(words, strings)
        same = not taken.is_taken
        colour = words.colour(self._colours) if same else ""
        understood(colour in ("", taken.colour), words.words, "another colour is in hand")
        begins_row = strings.open % self.columns == 0 and row > 1
        understood(turns == begins_row, words.words, "a turn is where a row begins, and there it is said")
        starts = turns or bool(colour) or not same
        way = self._way(strings, row)
        kind, count = self._kind_and_count(words, way, starts=starts)
        understood(not way or kind == way, words.words, "the row goes the other way")
        cut = taken.cut
        for _ in range(count):
            place = strings.open
            understood(place // self.columns + 1 == row, words.words, "the row is not that wide")
            at, rightwards = place % self.columns, RIGHTWARDS[kind]
            knot = PictureKnot(row, at + 1 if rightwards else self.columns - at, kind, taken.string)
            self._coming.append(_Entry(knot, place, taken.colour, cut))
            strings.make(self._coming[-1], self._places)
            cut = 0

    def _way(self, strings: _Strings, row: int) -> str:
        """The kind of all knots of a row, once there is one in row 1."""
        return strings.first if not strings.first or row % 2 == 1 else OTHER[strings.first]

    def _kind_and_count(self, words: Words, way: str, *, starts: bool) -> tuple[str, int]:
        """The kind of the knots to come, and how many: of a whole stretch, or only the next of one that was begun."""
        match = words.match(self._knots)
        if match:
            understood(match["over"] is None, words.words)
            understood(match["count"] is None or int(match["count"]) > 1, words.words, "one knot has no number")
            kind, count = self._naming[match["knot"]], int(match["count"] or 1)
            if starts:
                return kind, count
            understood(kind == self.kind, words.words, "no new stretch begins")
            if count > 1:
                understood(count == self._left, words.words, "the rest of the stretch is not that long")
                return kind, count
        elif words.next.isdigit():
            count = int(words.take())
            if starts:
                understood(way, words.words, "the direction is not known")
                return way, count
            understood(count == self._made_of_stretch() + 1, words.words, "the count is another one")
        else:
            understood(words.next == "last" and not starts, words.words)
        understood(self._left >= 1, words.words, "the stretch has no knot left")
        if words.next == "last":
            words.take()
            understood(self._left == 1, words.words, "it is not the last")
        return self.kind, 1

    def _made_of_stretch(self) -> int:
        """How many knots of the stretch in hand are made."""
        made = 0
        while made < len(self._made) and self._made[-1 - made].knot[::3] == self._made[-1].knot[::3]:
            made += 1
        return made

    def _taken(self, words: Words, strings: _Strings) -> _Taken:
        """What is cut, and which string comes in hand; the one in hand stays where nothing is said."""
        hanging, in_hand, cut = dict(strings.hanging), strings.in_hand, 0
        colour_in_hand = hanging[in_hand][0] if in_hand else ""
        found = words.match(self._cut)
        if found:
            understood(in_hand, words.words, "nothing is there to cut")
            understood(found["colour"] in (None, colour_in_hand), words.words, "another colour is in hand")
            words.match(_TAIL)
            cut = in_hand
            del hanging[cut]
        begin = words.match(self._begin)
        if begin:
            words.match(_TAIL)
            alike = [string for string, (colour, _) in hanging.items() if colour == begin["colour"]]
            understood(
                begin["which"] in (None, "another " if alike else "a new "), words.words, "a new one, or another?"
            )
            return _Taken(strings.begun + 1, begin["colour"], cut)
        together = words.match(self._in_one_breath)
        if together:
            words.put_back(together["knots"])
            words.put_back((together["take"] or "pick up ") + together["string"])
        bring, near = words.match(self._bring), words.match(self._near)
        took = bring or near
        if took is None:
            understood(not cut, words.words, "what is taken in hand?")
            understood(in_hand, words.words, "no string is in hand")
            return _Taken(in_hand, colour_in_hand, 0, is_taken=False)
        string = self._waiting(words, took, hanging, strings, near=bool(near))
        return _Taken(string, took["colour"], cut)

    def _waiting(
        self,
        words: Words,
        took: "re.Match[str]",
        hanging: Mapping[int, tuple[str, PictureKnot]],
        strings: _Strings,
        *,
        near: bool,
    ) -> int:
        """The one string of this colour that waits where the words say."""
        colour = took["colour"]
        here, at = strings.open // self.columns + 1, strings.open % self.columns
        alike = {string: knot for string, (each, knot) in hanging.items() if each == colour}
        fitting = {string: knot for string, knot in alike.items() if string != strings.in_hand}
        place, row = self._place(words, took)
        if place is not None:
            fitting = {string: knot for string, knot in fitting.items() if knot.column == place}
        else:
            understood(len(alike) == 1, words.words, f"which of the {len(alike)} {colour} that hang?")
        if row:
            fitting = {string: knot for string, knot in fitting.items() if knot.row == row}
        elif took["which"]:
            understood(len(fitting) == 2, words.words, "there are not two to choose from")
            first, second = sorted(fitting, key=lambda string: fitting[string].row)
            chosen = first if took["which"] == "earlier " else second
            fitting = {chosen: fitting[chosen]}
        elif len(fitting) > 1:
            # With others to take it for, no row means this one.
            fitting = {string: knot for string, knot in fitting.items() if knot.row == here}
        understood(len(fitting) == 1, words.words, f"no such {colour} waits there")
        ((string, knot),) = fitting.items()
        # Where it waits, and where it is wanted: the gap right of column 2 is gap 2.
        waits = knot.column if RIGHTWARDS[knot.kind] else knot.column - 1
        wanted = at if RIGHTWARDS[self._way(strings, here)] else self.columns - at
        columns, rows_up = abs(wanted - waits), here - knot.row
        understood(near == (columns == 0 and rows_up <= 1), words.words, "is it near?")
        way = words.match(_WAY)
        if way:
            far = (columns, "knot") if columns > max(0, rows_up - 1) else (rows_up, "row")
            understood((int(way["count"]), way["unit"]) == far, words.words, f"it is {far}")
        return string

    def _place(self, words: Words, took: "re.Match[str]") -> tuple[int | None, int]:
        """Takes a position, maybe with ` in row 3`: the column, and the row or 0."""
        if took["at"]:
            return position(took["at"], self.columns), int((took["row"] or "in row 0").split()[-1])
        phrase, _, row = words.next.partition(" in row ")
        if not row:
            return words.position(self.columns), 0
        place = position(phrase, self.columns)
        understood(place and row.isdigit(), words.words)
        words.take()
        return place, int(row)

    def ties(self, knot: PictureKnot) -> None:
        """Ties the next of the knots that were announced."""
        entry = self._coming.pop(0)
        assert entry.knot == knot
        if self._left_again is not None:
            self._left, self._left_again = self._left_again, None
        elif self._left and (self.in_hand, self._strings.row) == (knot.string, knot.row):
            self._left -= 1
        else:
            self._left = len([1 for other in self._coming if other.knot[::3] == knot[::3]])
        self.kind = knot.kind
        self._lefts.append(self._left)
        self._made.append(entry)
        self._places.add(entry.place)
        self._strings.make(entry, self._places)

    # What to undo.

    def undoes(self, text: str, count: int = 1) -> str:
        """Undoes the last knots, checks the words about it, and returns those about the next step, if any."""
        words = Words(text)
        taken, left = self._made[-count:], self._lefts[-count]
        self._keep_only(self._made[:-count])
        named, rest = words.undo(self._undo, self._back_to, count)
        if named is None:
            return rest
        knot, _, colour, _ = taken[0]
        understood(named["knot"] is None or self._naming[named["knot"]] == knot.kind, text, "another knot")
        said = words.colour(self._colours)
        understood(said in ("", colour), text, "another colour")
        place = words.position(self.columns)
        understood(place in (None, knot.column), text, "another column")
        if words.goes_on():
            return words.rest
        words.ends()
        self._coming, self._left_again = taken, left
        return ""

    def takes_out(self, text: str) -> tuple[PictureKnot, int | None]:
        """Takes out a knot on the way to a wrong one; returns it and how many more there are, where that is said."""
        words = Words(text)
        unsure = words.next == "take out the wrong knot"
        if unsure:
            words.take()
        match = words.match(self._take_out)
        colour = words.colour(self._colours)
        said = match or unsure
        place = words.position(self.columns) if said else position(words.take().removeprefix("take out "), self.columns)
        understood(place, text, "no position")
        entry = next((each for each in reversed(self._made) if each.knot.column == place), None)
        understood(entry, text, "no knot is there")
        assert entry
        understood(not match or self._naming[match["knot"]] == entry.knot.kind, text, "another knot")
        understood(colour in ("", entry.colour), text, "another colour")
        more = words.match(MORE)
        words.ends()
        self._keep_only([each for each in self._made if each is not entry])
        return entry.knot, int(more["more"] or 0) if more else None

    def _keep_only(self, made: list[_Entry]) -> None:
        """Takes out all other knots."""
        self._made, self._places, self._strings = [], set(), _Strings()
        self._left, self._left_again, self._lefts = 0, None, self._lefts[: len(made)]
        for entry in made:
            self._made.append(entry)
            self._places.add(entry.place)
            self._strings.make(entry, self._places)
