"""The colours of the strings as they hang, typed a letter a string, or corrected from what the chart says."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, groupby
from typing import NamedTuple

from benchmate.craft.design import Design
from benchmate.craft.wording.counting import counted

NOTHING, UNKNOWN = "-", "?"
"""The signs of no knot at all, and of a colour that the maker cannot tell."""
SIGNS = "abcdefghijklmnopqrstuvwxyz"
MORE_SIGNS = "".join(sign for sign in map(chr, range(0xDF, 0x590)) if sign.isalpha() and sign == sign.casefold())
"""What keyboards type with one key: letters of alphabets with cases. There are more than a design has strings. A digit
belongs to a number: of a string, of a row, of how many are alike."""


class CannotRead(ValueError):
    """What was typed says no colours; the text says why."""


def letters_of(said: Mapping[str, str]) -> dict[str, str]:
    """A letter of its own for every colour: the first free one of its label. `said` has the labels by the names."""
    found: dict[str, str] = {}
    for name, label in said.items():
        own = (sign for sign in label.casefold() if sign in SIGNS or sign in MORE_SIGNS)
        found[name] = next(sign for sign in chain(own, SIGNS, MORE_SIGNS) if sign not in found.values())
    return found


def labels_of(design: Design) -> dict[str, str]:
    """The labels of the colours that a design's strings have, in the order of the design."""
    threads = design.family.threads(design.body)
    return {name: design.say(name) for name in design.colours if name in threads}


class LetteredColour(NamedTuple):
    """A colour as it is typed, named, said and shown."""

    letter: str
    name: str
    label: str
    value: str


def lettered(design: Design) -> list[LetteredColour]:
    """The colours of a design's strings, each with its letter; the same for as long as the piece keeps its design."""
    labels = labels_of(design)
    letters = letters_of(labels)
    return [LetteredColour(letters[name], name, label, design.colours[name].value) for name, label in labels.items()]


class HangingColours:
    """The colours of the strings from left to right as the maker sees them, with a cursor on one of them.

    They begin as believed. A letter gives the string at the cursor its colour and goes on to the next one.
    """

    def __init__(self, believed: Sequence[str], letters: Mapping[str, str]) -> None:
        """`believed` are colour names, `letters` the letter of every colour by its name."""
        self.believed = tuple(believed)
        self.colours = list(believed)
        self.at = 0
        """The string at the cursor, from 0; as many as there are strings once the last one is typed."""
        self._names = {letter: name for name, letter in letters.items()}
        self._number = ""

    @property
    def as_believed(self) -> bool:
        """True while no string is corrected."""
        return not self.corrected

    @property
    def corrected(self) -> list[int]:
        """The strings whose colour is not as believed, from 0."""
        return [at for at, pair in enumerate(zip(self.colours, self.believed, strict=True)) if pair[0] != pair[1]]

    def type(self, letter: str) -> bool:
        """Gives the string at the cursor the colour of a letter and moves on.

        False, and nothing is changed, where no colour has that letter or the last string is typed.
        """
        name = self._names.get(letter.casefold())
        if name is None or self.at == len(self.colours):
            return False
        self.colours[self.at] = name
        self.move(1)
        return True

    def go_to(self, digit: str) -> bool:
        """Moves the cursor to the string whose number is typed, digit by digit.

        Where the number gets too high, the last digit counts alone. False, and nothing is changed, where there is no
        such string.
        """
        if not (digit.isascii() and digit.isdigit()):
            return False
        number = next((each for each in (self._number + digit, digit) if 1 <= int(each) <= len(self.colours)), "")
        if not number:
            return False
        self._number, self.at = number, int(number) - 1
        return True

    def move(self, by: int) -> None:
        """Moves the cursor, at most to the first string or past the last one."""
        self._number = ""
        self.at = min(max(0, self.at + by), len(self.colours))

    def walk(self, by: int) -> None:
        """Moves the cursor by one string to the left or the right, from the last one to the first and back."""
        self._number = ""
        count = len(self.colours)
        at = self.at - 1 if self.at == count and by > 0 else self.at
        self.at = (at + by) % count if count else 0

    def pick(self, by: int) -> None:
        """Gives the string at the cursor the next colour, or the one before."""
        names = list(self._names.values())
        if self.at < len(self.colours):
            self.colours[self.at] = names[(names.index(self.colours[self.at]) + by) % len(names)]

    def back(self) -> None:
        """Moves back by one string, which then hangs as believed."""
        self.move(-1)
        self.colours[self.at : self.at + 1] = self.believed[self.at : self.at + 1]

    def restore(self) -> None:
        """Makes all strings hang as believed."""
        self.colours, self.at = list(self.believed), 0


def read_colours(typed: str, colours: Sequence[LetteredColour]) -> list[str]:
    """The names of colours typed on one line: `d f f d`, `dffd`, `deep foam foam deep`, `d 2f d`.

    Names and labels of one word count as well as letters. Raises CannotRead.
    """
    named = {colour.letter: colour.name for colour in colours}
    for colour in colours:
        named.setdefault(colour.label.casefold(), colour.name)
        named.setdefault(colour.name.casefold(), colour.name)
    found: list[str] = []
    for word in typed.casefold().replace(",", " ").split():
        if word in named:
            found.append(named[word])
            continue
        digits = word[: len(word) - len(word.lstrip("0123456789"))]
        rest = word[len(digits) :]
        if digits.isascii() and digits and len(digits) < 4 and rest in named:
            found += [named[rest]] * int(digits)
        elif unknown := next((sign for sign in word if sign not in named), ""):
            raise CannotRead(f"No colour is called {word if len(word) > 1 else unknown}. {key_in_words(colours)}")
        else:
            found += [named[sign] for sign in word]
    return found


def read_hanging(typed: str, believed: Sequence[str], colours: Sequence[LetteredColour]) -> list[str]:
    """The colours of all strings typed on one line, as in `read_colours`. Raises CannotRead.

    `3=f` alone corrects what is believed: the third string is foam. Several such words may stand on the line.
    """
    words = typed.replace(",", " ").split()
    if words and all("=" in word for word in words):
        found = list(believed)
        for word in words:
            place, _, colour = word.partition("=")
            at = int(place) if place.isascii() and place.isdigit() and len(place) < 5 else 0
            named = read_colours(colour, colours)
            if not 1 <= at <= len(believed) or len(named) != 1:
                raise CannotRead(f"{word} is no string and its colour: 3={colours[0].letter} is the third string.")
            found[at - 1] = named[0]
        return found
    found = read_colours(typed, colours)
    if len(found) != len(believed):
        raise CannotRead(f"There are {counted(len(believed), 'string')}; you typed {len(found)}.")
    return found


def key_in_words(colours: Sequence[LetteredColour]) -> str:
    """The letters of the colours: `d deep, f foam`."""
    return ", ".join(f"{colour.letter} {colour.label}" for colour in colours)


def in_words(names: Sequence[str], colours: Sequence[LetteredColour]) -> str:
    """Colours from left to right: `2 deep, foam, deep`."""
    labels = {colour.name: colour.label for colour in colours}
    return ", ".join(f"{many} {labels[name]}" if many > 1 else labels[name] for name, many in _groups(names))


def typed_as(names: Sequence[str], colours: Sequence[LetteredColour]) -> str:
    """Colours from left to right as letters: `ddfd`."""
    letters = {colour.name: colour.letter for colour in colours}
    return "".join(letters[name] for name in names)


def miscounted(seen: Sequence[str], there: Sequence[str], design: Design) -> str:
    """What cannot be of the colours `seen`: `You typed 3 deep; the piece has 2.`; empty where those are `there`.

    No wrong knot changes how many strings of a colour there are. An empty text is an empty slot.
    """
    typed, has = Counter(seen), Counter(there)
    colour = next((name for name in (*(typed - has), *(has - typed)) if name), None)
    if colour is None:
        return ""
    return f"You typed {typed[colour]} {design.say(colour)}; the piece has {has[colour]}."


def _groups(names: Sequence[str]) -> Iterator[tuple[str, int]]:
    return ((name, len(list(alike))) for name, alike in groupby(names))
