"""Spoken prompts: what to do now, short enough that the next press never waits. What changed comes first.

A prompt builds on earlier ones: it does not name a string that stays in hand, and says less and less of equal knots. It
repeats what the maker did not hear because a press cut the prompt off (see `prompt`).
"""

from collections.abc import Sequence
from enum import Enum
from typing import NamedTuple

from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, WholePiece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import Level, PromptContext, joined


class Happened(Enum):
    """What has just happened.

    `TIED`: the maker tied steps. `UNDONE`: the maker undid the last steps. `OUT`: the maker took out a step on the way
    to a wrong one. `JUMPED`: the maker moved to another place. `RESUMED`: the prompt must not rely on earlier ones,
    because the maker opened the piece, turned the voice on, marked a knot or removed the mark, or changed the way of
    working.
    """

    TIED = "tied"
    UNDONE = "undone"
    OUT = "out"
    JUMPED = "jumped"
    RESUMED = "resumed"


PIECE_DONE = {Level.FULL: "the piece is done", Level.SHORT: "piece done", Level.SPARSE: "done"}
NOTHING = "nothing to tie"
"""The prompt of a piece without steps."""
MOST = 300
"""The most characters in a prompt; the voice drops the rest of a longer text."""
AND_SO_ON = ", and so on"
LAST = 2
"""How many of the last tied steps a family gets to see."""


class _Now(NamedTuple):
    """The piece, the level of detail, and what the maker has heard.

    `heard` are the steps tied since the maker last heard a prompt to its end; none when the prompt must not rely on
    earlier ones. `before` is what this prompt says before the step. `to_read` is true when nobody has to hear it.
    """

    whole: WholePiece
    progress: Progress
    level: Level
    heard: Sequence[int] = ()
    before: Sequence[str] = ()
    to_read: bool = False


def prompt(
    whole: WholePiece,
    progress: Progress,
    happened: Happened,
    steps: Sequence[int],
    level: Level,
    *,
    unheard: Sequence[int] | None = (),
    out: Sequence[int] = (),
    ahead: Sequence[int] = (),
    most: int | None = MOST,
) -> str:
    """The words to speak now, on one line, of at most `most` characters; or, with None, to read.

    `progress` is the state after what happened. `steps` are the steps just tied or undone, in order; other events need
    none. `unheard` are the steps tied before those, since the maker last heard a prompt to its end; None when there was
    no such prompt, so this one must not rely on any. Ends of rows among `unheard` are not announced again. `out` are
    the steps to take out to reach a knot marked wrong, in order. `ahead` are the steps the next press counts, if it
    counts several.
    """
    if out:
        return _take_out(whole, out, level)
    todo = tuple(ahead) or (() if progress.next is None else (progress.next,))
    now = _Now(whole, progress, level, to_read=most is None)
    if happened is Happened.UNDONE and steps:
        undone = _undone(whole, steps, level)
        return undone if todo == (steps[-1],) else f"{undone}, then {_todo(now, todo)}"
    if not todo:
        return PIECE_DONE[level] if whole.size else NOTHING
    if happened is Happened.TIED and steps:
        now = now._replace(before=_completed(now, steps, todo[0]))
        now = now._replace(heard=() if unheard is None else (*unheard, *steps))
    else:
        now = now._replace(before=[_place(now, todo[0], happened)])
    return _bounded(joined([*now.before, _todo(now, todo)]), most)


def _bounded(words: str, most: int | None) -> str:
    """The words, cut at a comma where they are too long to speak."""
    if most is None or len(words) <= most:
        return words
    head = words[: most - len(AND_SO_ON) + 1]
    return (head[: head.rfind(", ")] if ", " in head else head[:-1]) + AND_SO_ON


def again(
    whole: WholePiece,
    progress: Progress,
    *,
    out: Sequence[int] = (),
    ahead: Sequence[int] = (),
    most: int | None = MOST,
) -> str:
    """The step to do now in full: repeats the instruction."""
    return prompt(whole, progress, Happened.RESUMED, (), Level.FULL, out=out, ahead=ahead, most=most)


def _todo(now: _Now, numbers: Sequence[int]) -> str:
    """The step to do now, or all the steps one press counts."""
    part, steps = now.whole.part_of(numbers[0]), [now.whole.step(number) for number in numbers]
    prompts, context = part.design.family.prompts, _context(now, part, numbers)
    if len(steps) == 1:
        return prompts.for_step(context, part.design, part.work, numbers[0] - part.first, steps[0])
    return prompts.for_steps(context, part.design, steps)


def _context(now: _Now, part: Part, ahead: Sequence[int]) -> PromptContext:
    whole = now.whole
    return PromptContext(
        now.level,
        now.progress.current_run,
        [number - part.first for number in now.heard],
        [whole.step(number) for number in now.heard],
        [whole.knotting(number) for number in now.heard],
        [whole.step(number) for number in now.progress.history[-LAST:]],
        bool(now.before),
        part.work,
        [number - part.first for number in ahead],
        now.to_read,
    )


def _place(now: _Now, number: int, happened: Happened) -> str:
    """The place of a step, for a maker who has not heard an earlier prompt."""
    if happened is Happened.OUT:
        return "all out"
    called, counts, at, of = step_words.place(now.whole, number)
    place = f"{called} {counts} {at}".lstrip()
    if now.level is Level.FULL:
        place += f" of {of}"
    return f"jumped to {place}" if happened is Happened.JUMPED else place


def _completed(now: _Now, steps: Sequence[int], number: int) -> list[str]:
    """What the steps just tied complete: a part of the piece, or rows and repeats in this part."""
    whole, level = now.whole, now.level
    part, before = whole.part_of(number), whole.part_of(steps[0])
    words = []
    if before.first < part.first:
        words.append(f"{before.called} done, now the {part.called}" if level is Level.FULL else f"{before.called} done")
    family, work = part.design.family, part.work
    in_repeat = family.rows_per_repeat(part.design.body)
    rows = {work.row_of(other - part.first) for other in steps if whole.part_of(other) is part}
    rows = {row for row in rows if _all_tied(now, part, row, row)}
    repeat_of = {row: (row - 1) // in_repeat + 1 for row in rows}
    repeats = {
        repeat
        for repeat in repeat_of.values()
        if _all_tied(now, part, (repeat - 1) * in_repeat + 1, repeat * in_repeat)
    }
    if level is not Level.FULL:
        # A repeat ends with a row, so `repeat done` says both.
        rows = {row for row in rows if repeat_of[row] not in repeats}
    if rows and family.row_word == "row":
        # Long numbers take long to say: in short rows, as long as the knots themselves.
        words.append(f"row {max(rows)} done" if level is Level.FULL else "row done")
    of_repeats = work.rows // in_repeat
    if repeats and of_repeats > 1:
        which = {Level.FULL: f" {max(repeats)} of {of_repeats}", Level.SHORT: f" {max(repeats)}", Level.SPARSE: ""}
        words.append(f"repeat{which[level]} done")
    return words


def _all_tied(now: _Now, part: Part, first_row: int, last_row: int) -> bool:
    """True when every step of these rows of a part is tied."""
    numbers = range(part.work.span(first_row).first, part.work.span(last_row).end)
    # Backwards, because the last steps are the likeliest to be open: this looks at only a few of a long repeat.
    return all(now.progress.is_tied(part.first + number) for number in reversed(numbers))


def _take_out(whole: WholePiece, out: Sequence[int], level: Level) -> str:
    """The step to take out now to reach a wrong knot; its string hangs where the knot left it."""
    part = whole.part_of(out[0])
    words = part.design.family.prompts.take_out(part.design, whole.step(out[0]), level)
    more = f"{len(out) - 1} more" if len(out) > 1 else "last"
    if level is Level.FULL:
        more = f"{more} to take out" if len(out) > 1 else "the last one to take out"
    return joined([*words, more])


def _undone(whole: WholePiece, steps: Sequence[int], level: Level) -> str:
    """The step that was undone, the last of several. The maker ties it again unless the prompt names another."""
    part, step = whole.part_of(steps[-1]), whole.step(steps[-1])
    name = step_words.name_of(part, step).rstrip(".")
    words = [f"undo {len(steps)}", f"back to {name}"] if len(steps) > 1 else [f"undo {name}"]
    return joined([*words, *part.design.family.prompts.undone(part.design, step, level)])
