"""Spoken prompts: what to do now, short enough that the next press never waits. What changed comes first.

A prompt builds on earlier ones: it does not name a string that stays in hand, and says less and less of equal knots. It
repeats what the maker did not hear because a press cut the prompt off (see `prompt`). What must be done is always said
whole. So that a prompt is short enough for its level, what only confirms is dropped, and then words get fewer.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from enum import Enum
from itertools import chain, islice, takewhile
from typing import NamedTuple

from benchmate.craft.knots import NAMES
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, WholePiece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import THEN, Level, PromptContext, joined
from benchmate.craft.wording.spoken_length import MORE, cut, is_short_enough
from benchmate.craft.wording.spoken_length import MOST as MOST


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


class Beside(NamedTuple):
    """What is said together with a step; each is empty where there is nothing.

    `first` comes before the step, such as that a string runs short. `then` comes after it, at every level. A `tip`
    comes after it where nothing else does, and only where there is time for it.
    """

    first: str = ""
    then: str = ""
    tip: str = ""

    def and_also(self, other: "Beside") -> "Beside":
        """Both; of two tips the other one."""
        first, then = (" ".join(filter(None, both)) for both in ((self.first, other.first), (self.then, other.then)))
        return Beside(first, then, other.tip or self.tip)

    def to_read(self, before: str) -> str:
        """The same on a line, without the tip, after other words."""
        return " ".join(filter(None, (before, self.first, self.then)))


NOTHING_BESIDE = Beside()

PIECE_DONE = {Level.FULL: "the piece is done", Level.SHORT: "piece done", Level.SPARSE: "done"}
NOTHING = "nothing to tie"
"""The prompt of a piece without steps."""
LAST = 2
"""How many of the last tied steps a family gets to see."""


class _Now(NamedTuple):
    """The piece, the level of detail, what the maker has heard, the names of the knots, and the most characters.

    `heard` are the steps tied since the maker last heard a prompt to its end; none when the prompt must not rely on
    earlier ones. `most` is None when nobody has to hear the prompt.
    """

    whole: WholePiece
    progress: Progress
    level: Level
    names: str
    most: int | None
    heard: Sequence[int] = ()

    def fits(self, words: str) -> bool:
        """True when the words are short enough for one prompt."""
        return self.most is None or (len(words) <= self.most and is_short_enough(words, self.level))

    def fitting(self, wordings: Iterable[str]) -> str:
        """The first of these wordings, at least one, that is short enough, else the last."""
        words = ""
        for words in wordings:
            if self.fits(words):
                break
        return words

    def bounded(self, words: str, part: Part) -> str:
        """The words; cut where they are too long to speak at all, or the maker's own and too long for the level."""
        if part.design.family.prompts.may_be_cut and not self.fits(words):
            return cut(words, self.fits)
        most = self.most
        return words if most is None or len(words) <= most else cut(words, lambda head: len(head) <= most)


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
    names: str = "chart",
) -> str:
    """The words to speak now, on one line, of at most `most` characters; or, with None, to read.

    `progress` is the state after what happened. `steps` are the steps just tied or undone, in order; other events need
    none. `unheard` are the steps tied before those, since the maker last heard a prompt to its end; None when there was
    no such prompt, so this one must not rely on any. Ends of rows among `unheard` are not announced again. `out` are
    the steps to take out to reach a knot marked wrong, in order. `ahead` are the steps the next press counts, if it
    counts several; `sayable` tells how many of them one prompt can say. `names` are the names of the knots by ear, a
    key of `NAMES`.
    """
    now = _Now(whole, progress, level, names, most)
    if out:
        return _take_out(now, out)
    todo = tuple(ahead) or (() if progress.next is None else (progress.next,))
    if happened is Happened.UNDONE and steps:
        return _undone(now, steps, todo)
    if not todo:
        return PIECE_DONE[level] if whole.size else NOTHING
    if happened is Happened.TIED and steps:
        leads = [_completed(now, steps, todo[0])]
        now = now._replace(heard=() if unheard is None else (*unheard, *steps))
    else:
        leads = _place(now, todo[0], happened)
    words = _todo(now, todo)
    return now.fitting(chain((joined([lead, words]) for lead in leads), [words]))


def again(
    whole: WholePiece,
    progress: Progress,
    *,
    out: Sequence[int] = (),
    ahead: Sequence[int] = (),
    most: int | None = MOST,
    names: str = "chart",
) -> str:
    """The step to do now in full: repeats the instruction."""
    return prompt(whole, progress, Happened.RESUMED, (), Level.FULL, out=out, ahead=ahead, most=most, names=names)


def sayable(whole: WholePiece, progress: Progress, steps: Sequence[int], level: Level, names: str = "chart") -> int:
    """How many of these steps, the next ones, one prompt can say whole to a maker who has heard none before.

    At least one, or as many as one phrase names.
    """
    if len(steps) < 2:
        return len(steps)
    now = _Now(whole, progress, level, names, MOST)
    part = whole.part_of(steps[0])
    in_part = list(takewhile(lambda number: whole.part_of(number) is part, steps))
    stops = part.design.family.prompts.stops([whole.step(number) for number in in_part])

    def said(stop: int) -> bool:
        wordings = _wordings(now, in_part[:stop])
        # Words of the next level are not worth saving a press; at the sparse level the hands know them all.
        return any(map(now.fits, wordings if level is Level.SPARSE else islice(wordings, 1)))

    if said(stops[-1]):
        return stops[-1]
    # More steps make a longer prompt, give or take the length of a count. Most prompts say only a few.
    most = 1
    while most < len(stops) and said(stops[most - 1]):
        most *= 2
    at = bisect_right(stops, 0, most // 2, min(most, len(stops)), key=lambda stop: 0 if said(stop) else 1)
    return stops[max(0, at - 1)]


def _todo(now: _Now, numbers: Sequence[int]) -> str:
    """The step to do now, or all the steps one press counts."""
    return now.bounded(now.fitting(_wordings(now, numbers)), now.whole.part_of(numbers[0]))


def _wordings(now: _Now, numbers: Sequence[int]) -> Iterable[str]:
    part, steps = now.whole.part_of(numbers[0]), [now.whole.step(number) for number in numbers]
    prompts, context = part.design.family.prompts, _context(now, part, numbers)
    if len(steps) == 1:
        wordings = prompts.for_step(context, part.design, part.work, numbers[0] - part.first, steps[0])
        instead = step_words.instead(now.whole, numbers[0], context.names)
        if not instead or now.level is Level.SPARSE:
            return wordings
        made = now.whole.how_made(numbers[0])
        name = "" if made is None else context.names[made]
        wordings = [*wordings]
        return [*(step_words.with_instead(words, name, instead) for words in wordings), *wordings]
    return prompts.for_steps(context, part.design, steps)


def _context(now: _Now, part: Part, ahead: Sequence[int] = ()) -> PromptContext:
    whole = now.whole
    return PromptContext(
        now.level,
        now.progress.current_run if ahead else None,
        [number - part.first for number in now.heard],
        [whole.step(number) for number in now.heard],
        [whole.knotting(number) for number in now.heard],
        [whole.step(number) for number in now.progress.history[-LAST:]],
        part.work,
        [number - part.first for number in ahead],
        now.most is None,
        NAMES[now.names],
        now.fits,
    )


def _place(now: _Now, number: int, happened: Happened) -> list[str]:
    """The place of a step, for a maker who has not heard an earlier prompt, the fullest wording first."""
    if happened is Happened.OUT:
        return ["all out"]
    called, counts, at, of = step_words.place(now.whole, number)
    place = f"{called} {counts} {at}".lstrip()
    if now.level is Level.FULL:
        place += f" of {of}"
    return [f"jumped to {place}", place] if happened is Happened.JUMPED else [place]


def _completed(now: _Now, steps: Sequence[int], number: int) -> str:
    """What was completed before step `number`: a part of the piece, a repeat or a row.

    While the same string stays in hand nothing is said of it; it is said when the next string is picked up.
    """
    whole, level = now.whole, now.level
    part, before = whole.part_of(number), whole.part_of(steps[0])
    if before.first < part.first:
        return f"{before.called} done, now the {part.called}" if level is Level.FULL else f"{before.called} done"
    if whole.knotting(number) and whole.run_key(number) == whole.run_key(steps[-1]):
        return ""
    family, work = part.design.family, part.work
    in_repeat = family.rows_per_repeat(part.design.body)
    rows = {work.row_of(other - part.first) for other in (*_earlier_in_run(now, steps), *steps)}
    rows = {row for row in rows if _all_tied(now, part, row, row)}
    repeats = {
        repeat
        for repeat in {(row - 1) // in_repeat + 1 for row in rows}
        if _all_tied(now, part, (repeat - 1) * in_repeat + 1, repeat * in_repeat)
    }
    of_repeats = work.rows // in_repeat
    if repeats and of_repeats > 1:
        which = {Level.FULL: f" {max(repeats)} of {of_repeats}", Level.SHORT: f" {max(repeats)}", Level.SPARSE: ""}
        return f"repeat{which[level]} done"
    if not rows or family.row_word != "row":
        return ""
    if level is Level.FULL:
        return f"row {max(rows)} done"
    # Long numbers take long to say: in short rows, as long as the knots themselves.
    return "" if family.prompts.says_row_ends else "row done"


def _earlier_in_run(now: _Now, steps: Sequence[int]) -> list[int]:
    """The steps tied before these with the string of the first one in hand."""
    whole, history = now.whole, now.progress.history
    if not whole.knotting(steps[0]):
        return []
    run, part = whole.run_key(steps[0]), whole.part_of(steps[0])
    earlier = (history[at] for at in range(len(history) - len(steps) - 1, -1, -1))
    return list(takewhile(lambda other: whole.part_of(other) is part and whole.run_key(other) == run, earlier))


def _all_tied(now: _Now, part: Part, first_row: int, last_row: int) -> bool:
    """True when every step of these rows of a part is tied."""
    numbers = range(part.work.span(first_row).first, part.work.span(last_row).end)
    # Backwards, because the last steps are the likeliest to be open: this looks at only a few of a long repeat.
    return all(now.progress.is_tied(part.first + number) for number in reversed(numbers))


def _take_out(now: _Now, out: Sequence[int]) -> str:
    """The step to take out now to reach a wrong knot; its string hangs where the knot left it."""
    part = now.whole.part_of(out[0])
    wordings = [*part.design.family.prompts.take_out(_context(now, part), part.design, now.whole.step(out[0]))]
    more = f"{len(out) - 1} more" if len(out) > 1 else "last"
    if now.level is Level.FULL:
        more = f"{more} to take out" if len(out) > 1 else "the last one to take out"
    return now.bounded(now.fitting([*(joined([words, more]) for words in wordings), wordings[-1]]), part)


def _undone(now: _Now, steps: Sequence[int], todo: Sequence[int]) -> str:
    """The step that was undone, the last of several, and what comes next where that is another one."""
    part = now.whole.part_of(steps[-1])
    undo = f"undo {len(steps)}, back to" if len(steps) > 1 else "undo"
    wordings = part.design.family.prompts.undone(_context(now, part), part.design, now.whole.step(steps[-1]))
    wordings = [f"{undo} {words}" for words in wordings]
    if tuple(todo) != (steps[-1],):
        words = _todo(now, todo)
        short = f"undo {len(steps)}" if len(steps) > 1 else "undo"
        shorter = (f"undo{THEN}{each}" for each in _wordings(now, todo))
        wordings = [*(f"{undone}{THEN}{words}" for undone in (*wordings, short, "undo")), *shorter, f"undo{MORE}"]
    return now.bounded(now.fitting(wordings), part)
