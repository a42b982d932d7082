"""Prompts for the ear: what to do now, in so few words that the next press never has to wait. What changed comes first.

A prompt builds on what was heard before it: a string that stays in hand is not named again, and a knot of the same kind
is told in ever fewer words. What only a cut-off prompt said is said again (see `prompt`).
"""

from collections.abc import Sequence
from enum import Enum
from typing import NamedTuple

from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, WholePiece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import Level, PromptContext, joined


class Happened(Enum):
    """What there is to say something about.

    `TIED`: steps were tied. `UNDONE`: the maker backed up, steps have come undone. `OUT`: what the prompt before told
    to undo is out. `JUMPED`: the place was moved. `RESUMED`: nothing said before counts any more; the piece was opened,
    the voice turned on, a knot marked wrong or its mark taken back, another way of working chosen.
    """

    TIED = "tied"
    UNDONE = "undone"
    OUT = "out"
    JUMPED = "jumped"
    RESUMED = "resumed"


PIECE_DONE = {Level.FULL: "the piece is done", Level.SHORT: "piece done", Level.SPARSE: "done"}
NOTHING = "nothing to tie"
"""What is said of a piece without a step."""
MOST = 300
"""The most characters of a prompt: of a longer text the voice says no more."""
AND_SO_ON = ", and so on"
LAST = 2
"""How many of the steps tied last a family is told of."""


class _Now(NamedTuple):
    """The piece as it stands, how much is said of it, and what the maker knows.

    `heard` are the steps tied since a prompt was heard to its end; none when the step is told afresh. `before` is what
    this prompt says ahead of the step.
    """

    whole: WholePiece
    progress: Progress
    level: Level
    heard: Sequence[int] = ()
    before: Sequence[str] = ()


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
) -> str:
    """The words to speak now, on one line.

    `progress` is how things stand after what happened. `steps` are those that were tied, or came undone, one after the
    other; nothing else that happened needs them. `unheard` are those tied before them since a prompt was heard to its
    end, or None where none was since the step was told afresh: nothing is then taken for known that only a prompt cut
    off has said. What has ended with them is not told again. `out` is what must come out on the way to a knot marked
    wrong, first to come out first. `ahead` is what the next press counts, when that is several.
    """
    if out:
        return _to_come_out(whole, out, level)
    todo = tuple(ahead) or (() if progress.next is None else (progress.next,))
    now = _Now(whole, progress, level)
    if happened is Happened.UNDONE and steps:
        undone = _undone(whole, steps, level)
        return undone if todo == (steps[-1],) else f"{undone}, then {_todo(now, todo)}"
    if not todo:
        return PIECE_DONE[level] if whole.size else NOTHING
    if happened is Happened.TIED and steps:
        now = now._replace(before=_ends(now, steps, todo[0]))
        now = now._replace(heard=() if unheard is None else (*unheard, *steps))
    else:
        now = now._replace(before=[_place(now, todo[0], happened)])
    return _bounded(joined([*now.before, _todo(now, todo)]))


def _bounded(words: str) -> str:
    """The words as they are, or where they are too long to be spoken as far as a part of them ends."""
    if len(words) <= MOST:
        return words
    head = words[: MOST - len(AND_SO_ON) + 1]
    return (head[: head.rfind(", ")] if ", " in head else head[:-1]) + AND_SO_ON


def again(whole: WholePiece, progress: Progress, *, out: Sequence[int] = (), ahead: Sequence[int] = ()) -> str:
    """The step to do now in full, as if nothing had been heard before: said to whoever asks to hear it again."""
    return prompt(whole, progress, Happened.RESUMED, (), Level.FULL, out=out, ahead=ahead)


def _todo(now: _Now, numbers: Sequence[int]) -> str:
    """The step to do now, or all that one press counts."""
    part, steps = now.whole.part_of(numbers[0]), [now.whole.step(number) for number in numbers]
    prompts, context = part.design.family.prompts, _heard(now, part)
    if len(steps) == 1:
        return prompts.for_step(heard, part.design, part.work, numbers[0] - part.first, steps[0])
    return prompts.for_steps(heard, part.design, steps)


def _heard(now: _Now, part: Part) -> PromptContext:
    whole = now.whole
    return PromptContext(
        now.level,
        now.progress.current_run,
        [number - part.first for number in now.heard],
        [whole.step(number) for number in now.heard],
        [whole.knotting(number) for number in now.heard],
        [whole.step(number) for number in now.progress.history[-LAST:]],
        bool(now.before),
    )


def _place(now: _Now, number: int, happened: Happened) -> str:
    """Where in the piece a step is, for who has not heard anything before it."""
    if happened is Happened.OUT:
        return "all out"
    called, counts, at, of = step_words.place(now.whole, number)
    place = f"{called} {counts} {at}".lstrip()
    if now.level is Level.FULL:
        place += f" of {of}"
    return f"jumped to {place}" if happened is Happened.JUMPED else place


def _ends(now: _Now, steps: Sequence[int], number: int) -> list[str]:
    """What has come to its end with the steps just tied: a part of the piece, or rows and repeats in this part."""
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
        # The end of a repeat is the end of a row as well, which need not be said.
        rows = {row for row in rows if repeat_of[row] not in repeats}
    if rows and family.row_word == "row":
        # Long numbers take long to say; where rows are short, as long as the knots do.
        words.append(f"row {max(rows)} done" if level is Level.FULL else "row done")
    of_repeats = work.rows // in_repeat
    if repeats and of_repeats > 1:
        which = {Level.FULL: f" {max(repeats)} of {of_repeats}", Level.SHORT: f" {max(repeats)}", Level.SPARSE: ""}
        words.append(f"repeat{which[level]} done")
    return words


def _all_tied(now: _Now, part: Part, first_row: int, last_row: int) -> bool:
    """True when every step of these rows of a part is tied."""
    numbers = range(part.work.span(first_row).first, part.work.span(last_row).end)
    # Backwards, because the last ones are the likeliest to be open: of a long repeat only few are looked at.
    return all(now.progress.is_tied(part.first + number) for number in reversed(numbers))


def _to_come_out(whole: WholePiece, out: Sequence[int], level: Level) -> str:
    """What to undo now on the way to a wrong knot; its string hangs where the knot left it."""
    part = whole.part_of(out[0])
    undo = part.design.family.prompts.take_out(part.design, whole.step(out[0]), level)
    more = f"{len(out) - 1} more" if len(out) > 1 else "last"
    if level is Level.FULL:
        more = f"{more} to come out" if len(out) > 1 else "the last to come out"
    return joined([*undo, more])


def _undone(whole: WholePiece, steps: Sequence[int], level: Level) -> str:
    """What has come undone, the last step of several; it is to be done again, unless something else is said."""
    part, step = whole.part_of(steps[-1]), whole.step(steps[-1])
    name = step_words.name_of(part, step).rstrip(".")
    words = [f"undo {len(steps)}", f"back to {name}"] if len(steps) > 1 else [f"undo {name}"]
    return joined([*words, *part.design.family.prompts.undone(part.design, step, level)])
