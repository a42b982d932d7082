"""A maker at work who only hears: the prompts of a piece, one after the other, and the moves they mean."""

import re
from collections.abc import Hashable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.orders import Order
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, WholePiece
from benchmate.craft.trouble.made_otherwise import token
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt, sayable
from benchmate.families.alpha.body import Alpha, AlphaKnot
from benchmate.families.alpha.work import AlphaWork
from benchmate.families.braid.body import Braid, BraidMove
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.families.steps.body import WrittenStep
from tests.ear.braid import Disk, Moved
from tests.ear.diagonal import Band, Made
from tests.ear.phrases import NAMINGS, NotUnderstood
from tests.ear.picture import Picture, PictureKnot
from tests.ear.steps import Instructions, Step

Ear = Band | Picture | Disk | Instructions
Move = Made | PictureKnot | Moved | Step


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


def repaired(progress: Progress, whole: WholePiece, ear: Band | Picture, wrong: int, level: Level) -> str:
    """Marks a knot wrong and unties all steps on the way to it, as the ear hears them; returns the last prompt."""
    out = progress.must_come_out(wrong)
    said = prompt(whole, progress, Happened.RESUMED, (), level, out=out)
    while out:
        number, out = out[0], out[1:]
        made, more = ear.takes_out(said)
        assert (made, len(out) if more is None else more) == (move_of(whole.main, number), len(out))
        progress.untie(number)
        said = prompt(whole, progress, Happened.OUT, [number], level, out=out)
    return said


class Prompt(NamedTuple):
    """A prompt, and the steps that the next press counts; none at the end."""

    words: str
    ahead: Sequence[int]


def followed(whole: WholePiece, order: Order, press: str = "knot") -> list[dict[Level, str]]:
    """Every prompt of a piece at each level, from the first to the last, however long they are."""
    progress = Progress(whole, order)
    ahead = ahead_of(progress, press)
    said = [at_each_level(whole, progress, Happened.RESUMED, ahead=ahead)]
    while ahead:
        for number in ahead:
            progress.tie(number)
        tied, ahead = ahead, ahead_of(progress, press)
        said.append(at_each_level(whole, progress, Happened.TIED, tied, ahead=ahead))
    return said


def ahead_of(progress: Progress, press: str) -> list[int]:
    """The steps that one press counts while the voice is off."""
    if press == "knot":
        return progress.coming(1)
    return progress.rest_of_run() if press == "run" else progress.rest_of_row()


def press_counts(progress: Progress, press: str, level: Level, names: str = "chart") -> Sequence[int]:
    """The steps that one press counts while the voice is on: no more than one prompt says."""
    steps = ahead_of(progress, press)
    assert isinstance(progress.work, WholePiece)
    return steps[: sayable(progress.work, progress, steps, level, names)]


def prompts_of(
    whole: WholePiece, order: Order, level: Level, press: str = "knot", names: str = "chart"
) -> Iterator[Prompt]:
    """Every prompt of a piece, from the first to the last."""
    progress = Progress(whole, order)
    ahead = press_counts(progress, press, level, names)
    yield Prompt(prompt(whole, progress, Happened.RESUMED, (), level, ahead=ahead, names=names), ahead)
    while ahead:
        for number in ahead:
            progress.tie(number)
        tied, ahead = ahead, press_counts(progress, press, level, names)
        yield Prompt(prompt(whole, progress, Happened.TIED, tied, level, ahead=ahead, names=names), ahead)


class Maker:
    """Hears the prompts of a piece. Of the design it knows the strings that hang at the beginning, and no step."""

    def __init__(self, whole: WholePiece, names: str = "chart") -> None:
        self.ears = [(part.called, ear_for(part, names)) for part in whole.parts]
        self._at = 0

    @property
    def ear(self) -> Ear:
        """The ear for the part at work."""
        return self.ears[self._at][1]

    def hears(self, words: str) -> Sequence[Move]:
        """The moves that are announced."""
        if self._at + 1 < len(self.ears):
            called, ear = self.ears[self._at]
            following = self.ears[self._at + 1][1]
            if words.startswith(f"{called} done"):
                self._at += 1
            elif isinstance(ear, Instructions) != isinstance(following, Instructions):
                # Where there is no room to say that a part is done: no knot is an instruction, and the reverse.
                knots, at = (following, 1) if isinstance(ear, Instructions) else (ear, 0)
                try:
                    heard = _moves(knots, words)
                except NotUnderstood:
                    at = 1 - at
                    heard = _moves(following if at else ear, words)
                self._at += at
                return heard
        return _moves(self.ear, words)

    def hears_written(self, words: str, steps: Sequence[WrittenStep]) -> None:
        """Hears several written steps, which one press counts; raises NotUnderstood where others are said."""
        if not isinstance(self.ear, Instructions) or words.startswith(f"{self.ears[self._at][0]} done"):
            self._at += 1
        assert isinstance(self.ear, Instructions)
        alike = groupby(step.do for step in steps)
        self.ear.hears_all(words, [(do, len(list(same))) for do, same in alike])

    def ties(self, moves: Sequence[Move]) -> None:
        """Makes moves."""
        for move in moves:
            ear = self.ear
            match move:
                case Made():
                    assert isinstance(ear, Band)
                    ear.ties(move)
                case PictureKnot():
                    assert isinstance(ear, Picture)
                    ear.ties(move)
                case Moved():
                    assert isinstance(ear, Disk)
                    ear.ties(move)
                case Step():
                    assert isinstance(ear, Instructions)
                    ear.ties(move)


def _moves(ear: Ear, words: str) -> Sequence[Move]:
    heard = ear.hears(words)
    return [heard] if isinstance(heard, Step) else heard


def ear_for(part: Part, names: str = "chart") -> Ear:
    """The ear of a maker who knows what hangs before the first step of a part."""
    design, body = part.design, part.design.body
    naming = NAMINGS[names]
    if isinstance(body, Alpha):
        return Picture(body.columns, [design.say(name) for name in body.leading], naming)
    if isinstance(body, Braid):
        return Disk({slot: design.say(name) for slot, name in body.strands})
    if design.family.name == "diagonal":
        return Band([design.say(name) for name in design.strings], naming)
    return Instructions()


def by_ear(words: str) -> str:
    """The words as the ear has them: no sign, no hyphen, no pause."""
    return " ".join(_SOUNDS.findall(words))


_SOUNDS = re.compile(r"[\w']+")


def situation(ear: Ear) -> Hashable:
    """What a maker sees, and remembers of the last move: the strings as they hang, the one in hand, its last knot."""
    match ear:
        case Band():
            last = ear.last
            in_hand = (last.kind, ear.hanging.index(last.knotting)) if last else None
            return tuple(ear.colours[string - 1] for string in ear.hanging), in_hand
        case Picture():
            # A row looks like any other.
            waiting = {
                (colour, knot.column, knot.row - ear.row, string == ear.in_hand)
                for string, (colour, knot) in ear.hanging.items()
            }
            return frozenset(waiting), ear.made_in_row, ear.kind
        case Disk():
            return frozenset(ear.strands.items())
        case Instructions():
            return ear.last


def seen_from(ear: Ear, move: Move) -> Hashable:
    """A move as the maker sees it: not by the numbers of strings or rows."""
    match move:
        case Made():
            return move.left, move.kind
        case PictureKnot():
            assert isinstance(ear, Picture)
            waits = ear.hanging.get(move.string)
            place = (waits[1].column, move.row - waits[1].row) if waits else ()
            return move.column, move.kind, place
        case Step():
            return move.says, move.time
    return move


def move_of(part: Part, number: int) -> Move:
    """A step as a maker's ear finds it; `number` counts within the part."""
    step = part.work.step(number)
    match step:
        case DiagonalKnot():
            return Made(step.left, token(step.knot), step.knotting, step.passive)
        case AlphaKnot():
            assert isinstance(part.work, AlphaWork)
            return PictureKnot(step.row, step.column, step.knot.value, part.work.plan.leading(number))
        case BraidMove():
            return Moved(step.source, step.target)
        case WrittenStep():
            return Step(step.do, step.time, step.of)
    raise AssertionError(step)


def is_heard(heard: Move, wanted: Move) -> bool:
    """True when a move that was heard is the one that is wanted."""
    if isinstance(heard, Step) and isinstance(wanted, Step):
        return heard.is_of(wanted.says, wanted.time, wanted.of)
    return heard == wanted
