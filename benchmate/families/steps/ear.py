"""Written steps for the ear."""

from collections.abc import Sequence

from benchmate.craft.family import Ear, Threads
from benchmate.craft.wording.ear import Heard, Level, each_counted, sentences
from benchmate.craft.work import Work
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.words import StepsWords

_WORDS = StepsWords()


class StepsEar(Ear[WrittenStep]):
    """An instruction is said once; of the further times of a counted one only which it is."""

    def one(self, heard: Heard, design: Threads, work: Work, number: int, step: WrittenStep) -> str:
        """The instruction, or which time of it this is."""
        full, sparse = heard.level is Level.FULL, heard.level is Level.SPARSE
        first_time = number - step.time + 1
        if step.time > 1 and heard.numbers and min(heard.numbers) >= first_time:
            if full:
                return f"{_time(step, heard.level)}, {step.do}"
            if sparse:
                return "last" if step.time == step.of else str(step.time)
            return _time(step, heard.level)
        times = f"{step.of} times" if sparse and step.time == 1 < step.of else _time(step, heard.level)
        return sentences(step.do, times, "" if sparse else step.hint or "")

    def several(self, heard: Heard, design: Threads, steps: Sequence[WrittenStep]) -> str:
        """`Fold. Braid, 12 times`."""
        return each_counted(step.do for step in steps)

    def comes_out(self, design: Threads, step: WrittenStep, level: Level) -> list[str]:
        """`take back Braid, time 3 of 12`."""
        return [f"take back {step.do.rstrip('.')}", _time(step, level)]

    def came_undone(self, design: Threads, step: WrittenStep, level: Level) -> list[str]:
        """Which time of it."""
        return [_time(step, level)]


def _time(step: WrittenStep, level: Level) -> str:
    words = _WORDS.counted(step)
    return words if level is Level.FULL else words.removeprefix("time ")
