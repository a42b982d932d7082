"""Spoken prompts for the knots of an alpha band."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import THEN, Detail, Level, PromptContext, details, joined, position, times
from benchmate.craft.wording.trouble_words import WRONG_KNOT
from benchmate.craft.work import Work
from benchmate.families.alpha.body import AlphaKnot
from benchmate.families.alpha.plan import PickUp
from benchmate.families.alpha.words import TAIL, AlphaWords, is_near, pick_up_of, waiting_for

_WORDS = AlphaWords()


class _Stretch(NamedTuple):
    """Knots to tie now with one leading string, in one row: how many, the first one's number, and the first one."""

    knots: int
    number: int
    step: AlphaKnot


class AlphaPrompts(Prompts[AlphaKnot]):
    """Announces each stretch of one colour with all there is to do before it and how many knots, then each knot."""

    says_row_ends = True

    def for_step(
        self, context: PromptContext, design: DesignLike, work: Work, number: int, step: AlphaKnot
    ) -> Iterable[str]:
        """`turn, cut deep, begin foam, 7 forward`; within the stretch `forward` or only a number.

        The first knot of a picture comes after what to know before it.
        """
        run = context.run
        assert run is not None
        to_make = _Stretch(run.of - run.at + 1, number, step)
        if not context.still_in_hand(step.leading) or run.at == 1:
            if context.to_read:
                words: Iterable[str] = [_to_read(design, work, [to_make], tails=True)]
            else:
                words = _stretches(context, design, work, [to_make])
            if context.level is Level.FULL and number == 0:
                fullest, *shorter = words
                return [joined([_WORDS.before_first(work).rstrip("."), fullest]), fullest, *shorter]
            return words
        last, name = run.at == run.of, context.names[step.knot]
        if context.level is Level.SPARSE:
            return ["last" if last else str(run.at)]
        return [joined([name, "last" if last else ""])]

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[AlphaKnot]) -> Iterable[str]:
        """`foam, 3 forward, then cut foam, begin deep, 2 forward`: one count for each colour in a row.

        To read, in the words of a printed line: `bring deep from column 4 (1 knot); cut foam at column 7, then`.
        """
        assert context.work is not None
        stretches = list(_split(context.ahead, steps))
        if context.to_read:
            return [_to_read(design, context.work, stretches, tails=False)]
        return _stretches(context, design, context.work, stretches)

    def take_out(self, context: PromptContext, design: DesignLike, step: AlphaKnot) -> list[str]:
        """`take out forward, foam, third from the left`, `take out the wrong knot, third from the left`."""
        if step.unsure:
            places = [position(step.column, len(design.strings), detail) for detail in details(context.level)]
            return [f"take out {WRONG_KNOT}, {places[0]}", *(f"take out {at}" for at in places)]
        name = f"take out {context.names[step.knot]}"
        wordings = []
        for detail in details(context.level):
            at = position(step.column, len(design.strings), detail)
            if detail in (Detail.FULL, Detail.SHORT):
                wordings.append(f"{name}, {design.say_of(step.leading)}, {at}")
            else:
                wordings += [f"{name}, {at}", f"take out {at}"]
        return wordings

    def undone(self, context: PromptContext, design: DesignLike, step: AlphaKnot) -> list[str]:
        """`forward, foam, third from the left`."""
        name = context.names[step.knot]
        if context.level is Level.SPARSE:
            return [name]
        at = position(step.column, len(design.strings), Detail.FULL)
        return [f"{name}, {design.say_of(step.leading)}, {at}", name]

    def stops(self, steps: Sequence[AlphaKnot]) -> Sequence[int]:
        """At the end of each stretch, so that its count is that of its knots."""
        ends, at = [], 0
        for _, same in groupby(steps, key=_string_and_row):
            at += sum(1 for _ in same)
            ends.append(at)
        return ends


def _string_and_row(step: AlphaKnot) -> tuple[int, int]:
    return step.row, step.leading


def _split(numbers: Sequence[int], steps: Sequence[AlphaKnot]) -> Iterator[_Stretch]:
    """The steps one press counts, by colour and row."""
    for _, same in groupby(zip(numbers, steps, strict=True), key=lambda each: _string_and_row(each[1])):
        (number, step), *more = same
        yield _Stretch(1 + len(more), number, step)


def _to_read(design: DesignLike, work: Work, stretches: Sequence[_Stretch], *, tails: bool) -> str:
    """The stretches in the words of printed lines, with the length of the `tails` or without."""
    words = []
    for count, number, step in stretches:
        knots = times(count, step.knot.words)
        pick_up = _WORDS.pick_up(design, work, number, tails=tails)
        words.append(f"{pick_up}, then {knots}" if pick_up else f"{design.say_of(step.leading)}, {knots}")
    return joined(words)


def _stretches(context: PromptContext, design: DesignLike, work: Work, stretches: Sequence[_Stretch]) -> Iterator[str]:
    """The stretches with all there is to do before each, in several wordings."""
    for detail in details(context.level):
        yield THEN.join(_stretch(context, design, work, stretch, detail, at) for at, stretch in enumerate(stretches))


def _stretch(context: PromptContext, design: DesignLike, work: Work, stretch: _Stretch, detail: Detail, at: int) -> str:
    """Stretch number `at` of a press, its pick-up in the words of `detail`: `turn, cut deep, begin foam, 7 forward`."""
    count, number, step = stretch
    words = []
    turns = step.row > 1 and number == work.span(step.row).first
    if turns:
        words.append("turn")
    taken = pick_up_of(work, number)
    if taken is None:
        if detail is Detail.FULL or not context.still_in_hand(step.leading):
            words.append(design.say_of(step.leading))
    else:
        if taken.cuts:
            words += _cut(design.say_of(work.knotting(number - 1)), detail)
        words += _take(taken, design, work, number, detail)
    knots = times(count, context.names[step.knot])
    knows_way = bool(at or (context.steps and (turns or (taken and _in_row(context, step.row)))))
    if context.level is Level.SPARSE and knows_way:
        knots = str(count)
    if detail is Detail.BARE and taken and taken.others:
        # The words do without this pause: a place ends in its side, and a number follows.
        return joined([*words[:-1], f"{words[-1]} {knots}"])
    return joined([*words, knots])


def _in_row(context: PromptContext, row: int) -> bool:
    """True when all that was tied since the last prompt heard is in this row."""
    return all(isinstance(step, AlphaKnot) and step.row == row for step in context.steps)


def _cut(colour: str, detail: Detail) -> list[str]:
    """The string just used is not needed again."""
    if detail is Detail.FULL:
        return [f"cut {colour}", TAIL]
    return [f"cut {colour}" if detail is Detail.SHORT else "cut"]


def _take(taken: PickUp, design: DesignLike, work: Work, number: int, detail: Detail) -> list[str]:
    """Another string comes in hand: begun, brought across the back, or picked up where it waits."""
    say, full = design.say_of(work.knotting(number)), detail is Detail.FULL
    if taken.float is None:
        if full:
            return [f"begin {'another' if taken.others else 'a new'} {say}", TAIL]
        return [f"begin another {say}" if taken.others and detail in (Detail.SHORT, Detail.SPARSE) else f"begin {say}"]
    columns, rows, _ = taken.float
    at = position(work.passive(taken.waits), len(work.strings), detail)
    if full:
        within = "" if is_near(taken, work, number) else f" in row {work.row_of(taken.waits)}"
        if not columns and not rows:
            return [f"pick up {say}", f"{at}{within}"]
        away = f"{counted(columns, 'knot')} away" if columns > rows else f"{counted(rows + 1, 'row')} back"
        return [f"bring {say} across the back", f"{at}{within}", away]
    which, within = _which(taken, work, number)
    across = " across" if detail is Detail.SHORT and (columns or rows) else ""
    take = "bring " if columns or rows else "" if detail is Detail.BARE and taken.others else "pick up "
    words = f"{take}{which}{say}{across}"
    if not taken.others and not across:
        return [words]
    return [words, f"{at}{within}"] if detail in (Detail.SHORT, Detail.SPARSE) else [f"{words} {at}{within}"]


def _which(taken: PickUp, work: Work, number: int) -> tuple[str, str]:
    """What tells a string from others of its colour that wait in the same column, before its colour and after it."""
    if not taken.others:
        return "", ""
    alike = [other for other in waiting_for(work, number) if work.passive(other) == work.passive(taken.waits)]
    if len(alike) > 2:
        return "", f" in row {work.row_of(taken.waits)}"
    if len(alike) == 1:
        return "", ""
    return ("later " if taken.waits == max(alike) else "earlier "), ""
