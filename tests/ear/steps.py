"""A maker who follows written steps by ear: which instruction it is, and which of how many times."""

import re
from collections.abc import Sequence
from typing import NamedTuple

from tests.ear.phrases import Words, understood

_COUNTED = re.compile(r"(?P<time>\d+) of (?P<of>\d+)")
_TIMES = re.compile(r"(?P<of>\d+) times")
MORE_TO_HEAR = ", more to hear"
"""Ends a text that was cut because it does not fit the level."""


class Step(NamedTuple):
    """What was heard of a step: its text as far as said, and the number of this time, 0 where that was not said.

    `of` is how many times there are, 0 where that was not said. `is_cut` is true where there is more text.
    """

    says: str
    time: int
    of: int
    is_cut: bool = False

    def is_of(self, do: str, time: int, of: int) -> bool:
        """True when it is this instruction, as far as it was said."""
        do = do.rstrip(".")
        text = self.says.rstrip(".,; ")
        says = do.startswith(text) if self.is_cut and len(text) < len(do) else self.says.startswith(do)
        return says and self.time in (0, time) and self.of in (0, of)


class Instructions:
    """Knows the instruction heard last, how often to do it, and how often that was done."""

    def __init__(self) -> None:
        self.last: Step | None = None
        self.leads: list[str] = []
        self.part_done = ""

    def hears(self, text: str) -> Step:
        """The one step to do now."""
        words = Words(text)
        self.leads, self.part_done = words.leads, words.part_done
        rest = words.rest
        understood(rest, text)
        if rest.isdigit() or rest == "last" or _COUNTED.fullmatch(rest):
            return self._once_more(rest, text)
        counted = words.match(_COUNTED)
        if counted:
            return _step(words.rest, int(counted["time"]), int(counted["of"]))
        # Its count stands after the instruction: as a sentence, or after a text that was cut.
        for sentence in re.split(r"\. |, (?=\d)", rest):
            counted, times = _COUNTED.fullmatch(sentence), _TIMES.fullmatch(sentence)
            if counted or times:
                time, of = (int(counted["time"]), int(counted["of"])) if counted else (1, int((times or [""])[1]))
                return _step(rest, time, of)
        return _step(rest, 0, 0)

    def hears_all(self, text: str, steps: Sequence[tuple[str, int]]) -> None:
        """Hears several steps, each an instruction and how often it is done; raises NotUnderstood for others."""
        words = Words(text)
        self.leads, self.part_done = words.leads, words.part_done
        rest = words.rest
        for do, times in steps:
            do = do.rstrip(".") + (f", {times} times" if times > 1 else "")
            understood(rest.startswith(do), text, f"no {do!r}")
            rest = rest.removeprefix(do)
            end = " " if do[-1] in "?!" else ". "
            understood(not rest or rest.startswith(end), text, f"{do!r} goes on")
            rest = rest.removeprefix(end)
        understood(not rest, text, f"what is {rest!r}?")

    def _once_more(self, rest: str, text: str) -> Step:
        """The same instruction once more: only its count is said."""
        last = self.last
        understood(last and (last.time or last.is_cut), text, "nothing was counted before")
        assert last
        counted = _COUNTED.fullmatch(rest)
        of = int(counted["of"]) if counted else last.of
        time = int(counted["time"]) if counted else of if rest == "last" else int(rest)
        understood(not last.time or time in (0, last.time + 1), text, "the count is another one")
        understood(not last.of or (of == last.of and time <= of), text, "there are not that many")
        return last._replace(time=time, of=of)

    def ties(self, step: Step) -> None:
        """Does a step."""
        self.last = step


def _step(text: str, time: int, of: int) -> Step:
    return Step(text.split(MORE_TO_HEAR)[0], time, of, MORE_TO_HEAR in text)
