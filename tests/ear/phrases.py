"""The phrases that all prompts share: pauses, positions for fingers, names of knots, and what is said before a step."""

import re
from collections.abc import Mapping, Sequence

CHART = {"forward": "f", "backward": "b", "forward-backward": "fb", "backward-forward": "bf"}
LARKS_HEAD = {"forward": "f", "backward": "b", "lark's head forward": "fb", "lark's head backward": "bf"}
NAMINGS = {"chart": CHART, "larks-head": LARKS_HEAD}
"""The kinds of knots by the names a maker knows them by."""

TIPS = (
    "If the other colour shows, pull the knot back",
    "Push a knot up if it sits off its place",
    "Pull it as tight as the last one",
    "Pull the string at the edge up first",
    "Keep the tension as it was before the break",
)
"""What may be said after a step about small trouble."""

ORDINALS = {
    "first": 1,
    "second": 2,
    "third": 3,
    "fourth": 4,
    "fifth": 5,
    "sixth": 6,
    "seventh": 7,
    "eighth": 8,
    "ninth": 9,
    "tenth": 10,
    "eleventh": 11,
    "twelfth": 12,
    "thirteenth": 13,
    "fourteenth": 14,
    "fifteenth": 15,
    "sixteenth": 16,
    "seventeenth": 17,
    "eighteenth": 18,
    "nineteenth": 19,
    "twentieth": 20,
}
_FROM_AN_EDGE = re.compile(r"(?P<word>[a-z]+|\d+(st|nd|rd|th)) (from (the )?)?(?P<edge>left|right)")
POSITION = r"([a-z]+|\d+(st|nd|rd|th)) (from (the )?)?(left|right)|(the )?middle( one)?"
"""The pattern of a position; `position` says which it is."""
_DONE = re.compile(r"(row|repeat)( \d+( of \d+)?)? done")
_PART = re.compile(r"(?P<part>start|band) done")
_PLACE = re.compile(r"(jumped to )?((start|band|finish) )?(row|repeat|step) \d+( of \d+)?")
_BEGINNINGS = ("row ", "repeat ", "step ", "start ", "band ", "finish ", "jumped ", "all out", "now ")
DONE = {"the piece is done", "piece done", "done"}
"""What is said when nothing is left to do."""


class NotUnderstood(AssertionError):
    """The words mean nothing to a maker, or not what the strings allow."""


def understood(condition: object, words: str, why: str = "") -> None:
    """Raises NotUnderstood, with the words, where the condition does not hold."""
    if not condition:
        raise NotUnderstood(f"{words!r}: {why or 'not understood'}")


def position(phrase: str, count: int) -> int | None:
    """The position from the left of `count` that a phrase names, from the nearer edge; None for any other phrase."""
    if phrase in ("the middle one", "middle one", "middle"):
        understood(count % 2 == 1, phrase, "there is no middle one")
        return count // 2 + 1
    match = _FROM_AN_EDGE.fullmatch(phrase)
    if match is None:
        return None
    word = match["word"]
    number = ORDINALS.get(word) or (int(re.sub(r"\D", "", word)) if word[0].isdigit() else 0)
    understood(word[0].isalpha() or number > len(ORDINALS), phrase, "small numbers are words")
    understood(0 < number <= count // 2, phrase, "the other edge is nearer, or there is no such string")
    return number if match["edge"] == "left" else count - number + 1


class Words:
    """The phrases of a prompt, taken one by one from the front."""

    def __init__(self, words: str) -> None:
        self.words = words
        self._phrases = words.split(", ") if words else []
        self.leads: list[str] = []
        """What was said before the step: what is done, or where the maker is."""
        self.part_done = ""
        """The part of the piece that is done, `start` or `band`."""
        self._take_leads()

    def _take_leads(self) -> None:
        while self._phrases:
            phrase = self._phrases[0]
            part = _PART.fullmatch(phrase)
            if part:
                self.part_done = part["part"]
            elif not _is_lead(phrase, self.part_done):
                return
            self.leads.append(self._phrases.pop(0))

    @property
    def next(self) -> str:
        """The phrase to understand next; empty at the end."""
        return self._phrases[0] if self._phrases else ""

    @property
    def rest(self) -> str:
        """All that is left."""
        return ", ".join(self._phrases)

    def take(self) -> str:
        """Takes the next phrase."""
        understood(self._phrases, self.words, "it ends too early")
        return self._phrases.pop(0)

    def goes_on(self) -> bool:
        """Takes `then` from the front of the next phrase; False where that does not begin with it."""
        if not self.next.startswith("then "):
            return False
        self._phrases[0] = self._phrases[0].removeprefix("then ")
        return True

    def ends(self) -> None:
        """Raises NotUnderstood where anything is left."""
        understood(not self._phrases, self.words, f"what is {self.rest!r}?")

    def not_understood(self, why: str) -> NotUnderstood:
        """The error that says why."""
        return NotUnderstood(f"{self.words!r}: {why}")

    def match(self, pattern: "re.Pattern[str]") -> "re.Match[str] | None":
        """Takes the next phrase where all of it matches."""
        found = pattern.fullmatch(self.next) if self._phrases else None
        if found:
            self._phrases.pop(0)
        return found

    def undo(
        self, undo: "re.Pattern[str]", back_to: "re.Pattern[str]", count: int
    ) -> "tuple[re.Match[str] | None, str]":
        """Takes `undo …` for the last moves: what names the last of them; or None, and the words about what comes next.

        Those are all the words where none of them is about undoing.
        """
        found = self.match(undo)
        if not found:
            return None, self.words
        if self.goes_on():
            understood(found["count"] in (None, str(count)), self.words, "another count")
            return None, self.rest
        understood(int(found["count"] or 1) == count, self.words, "another count")
        named = self.match(back_to) if found["count"] else found
        understood(named, self.words)
        return named, ""

    def put_back(self, phrase: str) -> None:
        """Puts a phrase in front of the others, where no pause parted it from the one before."""
        self._phrases.insert(0, phrase)

    def colour(self, colours: Sequence[str]) -> str:
        """Takes the next phrase where it is a colour; else empty."""
        return self._phrases.pop(0) if self.next in colours else ""

    def position(self, count: int) -> int | None:
        """Takes the next phrase where it is a position."""
        found = position(self.next, count)
        if found is not None:
            self._phrases.pop(0)
        return found


def _is_lead(phrase: str, part_done: str) -> bool:
    if not phrase.startswith(_BEGINNINGS):
        return False
    if part_done and phrase in ("now the band", "now the finish"):
        return True
    return bool(_DONE.fullmatch(phrase) or _PLACE.fullmatch(phrase)) or phrase == "all out"


def one_of(names: Sequence[str]) -> str:
    """A pattern for any of the names, the longest first."""
    return "|".join(map(re.escape, sorted(names, key=len, reverse=True)))


def knots_pattern(naming: Mapping[str, str], colours: Sequence[str]) -> "re.Pattern[str]":
    """The pattern of a knot, or of several equal ones: `forward`, `3 forward`, `forward over foam`."""
    return re.compile(
        rf"((?P<count>\d+|one) )?(?P<knot>{one_of(list(naming))})( over (?P<over>{one_of(list(colours))}))?"
    )


MORE = re.compile(r"(?P<more>\d+) more( to take out)?|(the )?last( one to take out)?")
"""How many are still to take out after this one."""


def without_tip(words: str) -> str:
    """What is said of a step, without what comes after it and changes nothing of what to tie.

    That is a tip about small trouble, or what to press if the strings hang wrong.
    """
    words = words.partition(". If the strings hang wrong now: ")[0]
    return next((words.removesuffix(f". {tip}") for tip in TIPS if words.endswith(f". {tip}")), words)
