"""Finds presses in the sound of a microphone: two claps, or two taps on the table, one right after the other.

A knock rises sharply out of quiet and is gone at once. One knock alone cannot be told from a cup that is put down, so a
press is a pair of them, alike, with quiet before and after: a third knock makes it something else.

Plain Python is fast enough here, because the work on single samples is done by `sum` and `map`.
"""

from array import array
from operator import sub
from typing import NamedTuple

RATE = 16000
"""Samples a second."""
FRAME = 80
"""Samples in a frame. All times below are in frames, of 5 ms."""
LAG = 8
"""Each sample is compared with the one so many before it, which leaves out hum and rumble."""

SINKS, RISES = 0.05, 1.003
"""How the level of the room's noise follows each frame: by that part down, by that factor up."""
BEFORE, SETTLED = 16, 25
"""A knock is compared with the frames before it, and judged when so many have passed since it began."""
LEAST, OVER_FLOOR, OVER_BEFORE = 30.0, 5.0, 4.0
"""How loud a knock must be: at least, in steps of 16 bits; over the noise of the room; over the frames before it."""
SUDDEN = 2.0
"""The first frame of a knock is at least so many times as loud as the one before."""
SOON, LATER = (8, 13, 0.5), (16, 24, 0.3)
"""A knock fades: from this frame to that one, its mean level is below that part of its peak."""
NO_SECOND_PEAK = 0.9
"""While a knock fades, no frame reaches this part of its peak."""

NEAREST, FURTHEST = 34, 75
"""How far apart the two knocks of a press begin. A cup that comes to rest knocks twice too, but sooner."""
SHRILL = 0.9
"""How shrill the two knocks may be on average. Scissors and keys click more shrilly than hands."""
UNLIKE = 4.0
"""The louder knock of a press is at most so many times as loud as the other."""
QUIET_BEFORE, FIRST_OVER = 100, 6.0
"""How long it must be quiet before the first knock, and how far that rises over the frames before it."""
WAITS, WAITS_FOR_GAPS = 80, 1.8
"""How long it must be quiet from the second knock on: so many frames, or so many times the gap between the two."""
FADED, GONE = 14, 30
"""After how many frames a knock no longer counts as sound after itself, and its echo no longer counts as its own."""
ECHO = 0.35
"""How loud the echo of a knock may be until then, as a part of its peak."""
SOUND_BEFORE, SOUND_BETWEEN, SOUND_AFTER = 0.15, 0.35, 0.2
"""The loudest sound before, between and after the knocks of a press, as a part of the softer one."""
KEPT = 400
"""The frames that are remembered, at least."""


class Knock(NamedTuple):
    """One knock: the frame it begins in, counted from the first, its peak level, and how shrill it is.

    Shrillness is how much each sample differs from the one before, by how much it differs from the one `LAG` before.
    """

    frame: int
    peak: float
    shrill: float


class Detector:
    """Hears the sound of one microphone block by block."""

    def __init__(self) -> None:
        self._last = array("h", bytes(2 * LAG))
        self._levels = [0.0] * KEPT
        self._steps = [0.0] * KEPT
        self._first = -KEPT
        self._floor: float | None = None
        self._knock: Knock | None = None
        self._pair: tuple[Knock, Knock] | None = None
        self.knocks = 0
        """How many knocks were heard, those of presses among them."""

    def hear(self, block: bytes) -> list[float]:
        """Takes the next samples, 16 bits each in this machine's order.

        Returns, for each press that ends in them, how many seconds before the end of the block it began.
        """
        samples = self._last + array("h", block)
        frames = (len(samples) - LAG) // FRAME
        began: list[int] = []
        for start in range(0, frames * FRAME, FRAME):
            end = start + FRAME
            frame = samples[start + LAG : end + LAG]
            self._levels.append(sum(map(abs, map(sub, frame, samples[start:end]))) / FRAME)
            self._steps.append(sum(map(abs, map(sub, frame, samples[start + LAG - 1 : end + LAG - 1]))) / FRAME)
            pressed = self._frame()
            if pressed is not None:
                began.append(pressed)
        self._last = samples[frames * FRAME :]
        if len(self._levels) > 2 * KEPT:
            self._first += len(self._levels) - KEPT
            del self._levels[:-KEPT], self._steps[:-KEPT]
        here = self._first + len(self._levels)
        return [(here - frame) * FRAME / RATE for frame in began]

    def _frame(self) -> int | None:
        """Judges what has settled with the newest frame; the frame that a press began in, if one ends now."""
        at = self._first + len(self._levels) - SETTLED
        if at < 0:
            return None
        found = self._knock_at(at)
        if found is not None:
            self.knocks += 1
            if self._knock is not None and self._may_be_press(self._knock, found):
                self._pair = (self._knock, found)
            self._knock = found
        if self._pair is None:
            return None
        first, second = self._pair
        ends = second.frame + max(WAITS, int(WAITS_FOR_GAPS * (second.frame - first.frame)))
        if self._first + len(self._levels) < ends:
            return None
        self._pair = None
        softer = min(first.peak, second.peak)
        if not self._fades(second, softer):
            return None
        return first.frame if self._loudest(second.frame + GONE, ends) < SOUND_AFTER * softer else None

    def _fades(self, knock: Knock, softer: float) -> bool:
        """Whether what follows a knock is no more than its own echo, or is soft beside the `softer` knock."""
        most = max(SOUND_BETWEEN * softer, ECHO * knock.peak)
        return self._loudest(knock.frame + FADED, knock.frame + GONE) < most

    def _knock_at(self, frame: int) -> Knock | None:
        """The knock that begins in a frame, if one does."""
        levels, at = self._levels, frame - self._first
        level = levels[at]
        if self._floor is None:
            self._floor = level
        # The floor sinks faster than it rises, so that it is the level between sounds.
        softer = level < self._floor
        self._floor = max(1.0, self._floor + SINKS * (level - self._floor) if softer else self._floor * RISES)
        if level <= max(LEAST, SUDDEN * levels[at - 1]) or level <= OVER_BEFORE * max(levels[at - BEFORE : at - 1]):
            return None
        if self._knock is not None and frame - self._knock.frame < 5:
            return None
        peak = max(levels[at : at + 4])
        fades = all(
            sum(levels[at + begin : at + end]) < part * peak * (end - begin) for begin, end, part in (SOON, LATER)
        )
        once = max(levels[at + 5 : at + SETTLED]) < NO_SECOND_PEAK * peak
        if not fades or not once or peak <= OVER_FLOOR * self._floor:
            return None
        return Knock(frame, peak, sum(self._steps[at : at + 4]) / sum(levels[at : at + 4]))

    def _may_be_press(self, first: Knock, second: Knock) -> bool:
        """Whether two knocks are a press, by what was heard up to the second."""
        softer, louder = sorted((first.peak, second.peak))
        if not NEAREST <= second.frame - first.frame <= FURTHEST or louder > UNLIKE * softer:
            return False
        if first.shrill + second.shrill > 2 * SHRILL:
            return False
        at = first.frame - self._first
        before = max(self._levels[at - BEFORE : at - 1])
        if self._levels[at] < FIRST_OVER * before and first.peak < 1.5 * FIRST_OVER * before:
            return False
        return (
            self._loudest(first.frame - QUIET_BEFORE, first.frame - 1) < SOUND_BEFORE * softer
            and self._fades(first, softer)
            and self._loudest(first.frame + GONE, second.frame - 1) < SOUND_BETWEEN * softer
        )

    def _loudest(self, begin: int, end: int) -> float:
        return max(self._levels[begin - self._first : end - self._first])
