"""Abbreviations of step lines, for braille lines and narrow windows, and the way back to the full line."""

import re

from benchmate.craft.knots import Knot

KNOTS = {knot.words: knot.value for knot in Knot}
NUMBERED = {"row": "r", "column": "c", "repeat": "rp", "band knot": "bk"}
"""Abbreviations that stand right before a number: `r12`."""
PHRASES = {
    "over": "o",
    "hangs at": "h",
    "take out": "tk",
    "goes back to": "gb",
    "they change back": "cb",
    "pick up": "pu",
    "begin a new": "bn",
    "begin another": "ba",
    "leave a 9 cm tail": "lt",
    "across the back": "ab",
    "from the left": "fl",
    "from the right": "fr",
    "pairs to the right": "pr",
    "pairs to the left": "pl",
}
"""The others, a word or several."""
SAID = '"'
"""Stands before and after a word that could be taken for an abbreviation."""
WHOLE = " ="
"""At the end of a line: nothing is left out of it."""

_LONG = {short: phrase for phrase, short in {**KNOTS, **PHRASES}.items()}
_LONG_NUMBERED = {short: phrase for phrase, short in NUMBERED.items()}
_WORD = re.compile(r"[^\s,;:.()]+")
_LIKE_ONE = re.compile(rf"{'|'.join(_LONG)}|(?:{'|'.join(_LONG_NUMBERED)})[0-9]+", re.IGNORECASE)
_PHRASE = re.compile(
    "|".join(
        [
            *(rf"(?:{phrase}) [0-9]+" for phrase in NUMBERED),
            *sorted({**KNOTS, **PHRASES}, key=len, reverse=True),
        ]
    )
)
_TIED = re.compile(
    # What a knot that is taken out leaves behind is always said.
    rf"(?<![^ ])(?<!take out )({'|'.join(sorted(KNOTS, key=len, reverse=True))}), (\d+) (.+?) over (\d+) (.+?)(?=;)"
)


def abbreviations() -> list[str]:
    """The key: what every abbreviation stands for, one a line."""
    return [
        *(f"{short}: {knot}" for knot, short in KNOTS.items()),
        *(f"{short}: {phrase}" for phrase, short in PHRASES.items()),
        *(f"{short}12: {unit} 12" for unit, short in NUMBERED.items()),
        "after f and b the two strings change places, after fb and bf each stays on its side; this is left out",
        f"{SAID}f{SAID}: f itself, such as a colour of that name; so for all of these",
        "an equals sign at the end of a line: nothing is left out of it",
    ]


def abbreviated(line: str) -> str:
    """The line with its abbreviations, without what the knot says by itself. `in_full` undoes it."""
    plain = _in_short(line)
    for short in (_in_short(_without_outcome(line)), plain):
        if in_full(short) == line:
            return short
    return plain + WHOLE


def in_full(line: str) -> str:
    """The line without abbreviations."""
    if line.endswith(WHOLE):
        return _WORD.sub(_word_in_full, line.removesuffix(WHOLE))
    return _TIED.sub(lambda tied: f"{tied.group()}, {_outcome(tied)}", _WORD.sub(_word_in_full, line), count=1)


def _without_outcome(line: str) -> str:
    """The line of a knot without where its strings hang then, which the knot tells."""
    found = _TIED.search(line)
    if found is None:
        return line
    # The passive string's name ends where the outcome begins.
    for comma in re.finditer(", ", found[5]):
        crossed = line[: found.start(5) + comma.start()]
        tied = _TIED.search(f"{crossed};", found.start())
        if tied is not None and found[5][comma.end() :] == _outcome(tied):
            return crossed + line[found.end() :]
    return line


def _outcome(tied: re.Match[str]) -> str:
    """Where the strings of a knot hang then, in the words of the full line."""
    knot, left, knotting, right, passive = tied.groups()
    if not Knot(KNOTS[knot]).swaps:
        return "each stays on its side"
    if knotting == passive:
        return "they change places"
    return f"then {knotting} hangs at {right}, {passive} at {left}"


def _word_in_full(found: re.Match[str]) -> str:
    word = found.group()
    if word in _LONG:
        return _LONG[word]
    letters = word.rstrip("0123456789")
    if letters != word and letters in _LONG_NUMBERED:
        return f"{_LONG_NUMBERED[letters]} {word[len(letters) :]}"
    return word[1:-1] if len(word) > 2 and word[0] == word[-1] == SAID and _is_like_one(word) else word


def _in_short(text: str) -> str:
    words = [word.span() for word in _WORD.finditer(text)]
    starts, ends = {start for start, _ in words}, {end for _, end in words}
    parts: list[str] = []
    done = at = 0
    while found := _PHRASE.search(text, at):
        start, end = found.span()
        # Only whole words make up a phrase.
        if start in starts and end in ends:
            parts += [_quoted(text[done:start]), _shortened(found.group())]
            done = at = end
        else:
            at = start + 1
    return "".join([*parts, _quoted(text[done:])])


def _shortened(phrase: str) -> str:
    before, _, number = phrase.rpartition(" ")
    return NUMBERED[before] + number if before in NUMBERED else {**KNOTS, **PHRASES}[phrase]


def _quoted(text: str) -> str:
    return _WORD.sub(lambda word: f"{SAID}{word.group()}{SAID}" if _is_like_one(word.group()) else word.group(), text)


def _is_like_one(word: str) -> bool:
    """True for an abbreviation in capitals or small letters, in any number of quotes."""
    return _LIKE_ONE.fullmatch(word.strip(SAID)) is not None
