"""Prompts for the ear: what to do now, in so few words that the next press never has to wait. What changed comes first.

A prompt builds on what was heard before it: a string that stays in hand is not named again, and a knot of the same kind
is told in ever fewer words. What only a cut-off prompt said is said again (see `prompt`).
"""

from collections.abc import Iterable, Sequence
from enum import Enum
from itertools import groupby, pairwise
from typing import NamedTuple

from benchmate.craft import telling
from benchmate.craft.design import Alpha, Diagonal
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part, Whole
from benchmate.craft.steps import Led, Move, Step, Tie, Told


class Level(Enum):
    """How much is said: all that helps in learning a band, what a practised hand needs, or only what changes."""

    FULL = "full"
    SHORT = "short"
    SPARSE = "sparse"


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
ALIKE = 2
"""After so many knots of one kind with one string, the next is not even told over which colour it goes."""


class _Now(NamedTuple):
    """The piece as it stands, how much is said of it, and what the maker knows.

    `heard` are the steps tied since a prompt was heard to its end; none when the step is told afresh. `before` is what
    this prompt says ahead of the step.
    """

    whole: Whole
    progress: Progress
    level: Level
    heard: Sequence[int] = ()
    before: Sequence[str] = ()

    def holds(self, maker: int) -> bool:
        """True when, as far as was heard, this string is in hand."""
        return bool(self.heard) and all(self.whole.maker(number) == maker for number in self.heard)

    def knows(self, tie: Tie) -> bool:
        """True when nothing but this kind of knot was heard."""
        steps = [self.whole.step(number) for number in self.heard]
        return bool(steps) and all(isinstance(step, Tie) and step.knot is tie.knot for step in steps)


def prompt(
    whole: Whole,
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
    return _bounded(_joined([*now.before, _todo(now, todo)]))


def _bounded(words: str) -> str:
    """The words as they are, or where they are too long to be spoken as far as a part of them ends."""
    if len(words) <= MOST:
        return words
    head = words[: MOST - len(AND_SO_ON) + 1]
    return (head[: head.rfind(", ")] if ", " in head else head[:-1]) + AND_SO_ON


def again(whole: Whole, progress: Progress, *, out: Sequence[int] = (), ahead: Sequence[int] = ()) -> str:
    """The step to do now in full, as if nothing had been heard before: said to whoever asks to hear it again."""
    return prompt(whole, progress, Happened.RESUMED, (), Level.FULL, out=out, ahead=ahead)


def _todo(now: _Now, numbers: Sequence[int]) -> str:
    """The step to do now, or all that one press counts."""
    part, steps = now.whole.part_of(numbers[0]), [now.whole.step(number) for number in numbers]
    if len(steps) == 1:
        return _one(now, part, numbers[0], steps[0])
    leds = [step for step in steps if isinstance(step, Led)]
    if leds:
        return _stretches(part, leds)
    ties = [step for step in steps if isinstance(step, Tie)]
    if not ties:
        return _instructions(steps)
    return _run(now, part, ties) if len({tie.knotting for tie in ties}) == 1 else _row(part, ties)


def _one(now: _Now, part: Part, number: int, step: Step) -> str:
    match step:
        case Tie():
            return _knot(now, part, step)
        case Led():
            return _led(now, part, step)
        case Move():
            return _move(now, part, step)
        case Told():
            return _instruction(now, number, step)


def _knot(now: _Now, part: Part, tie: Tie) -> str:
    run = now.progress.in_hand
    assert run is not None
    full, sparse = now.level is Level.FULL, now.level is Level.SPARSE
    held, to_make = now.holds(tie.knotting), run.of - run.at + 1
    last = run.of > 1 and to_make == 1
    # Right after the end of a row, a number or `last` would sound as if it were about the row.
    known = sparse and now.knows(tie) and not (held and now.before)
    words = []
    if not held:
        words.append(_at(part, tie) + (f" for {to_make} knots" if full and to_make > 1 else ""))
    if full and not (held and _alike(now, tie) >= ALIKE):
        words.append(f"{tie.knot.words} over {part.design.said_of(tie.passive)}")
    elif not known:
        words.append(tie.knot.words)
    elif held and not last:
        words.append(str(run.at))
    if last:
        words.append(f"last with {part.design.said_of(tie.knotting)}" if full else "last")
    return _joined(words)


def _led(now: _Now, part: Part, led: Led) -> str:
    """One knot of an alpha band: at the beginning of a stretch of one colour how many there are, then the knot."""
    run = now.progress.in_hand
    assert run is not None
    if not now.holds(led.leading) or run.at == 1:
        sparse, number = now.level is Level.SPARSE, now.progress.next
        first = "" if sparse or number is None else telling.taken_up(now.whole, number, tails=now.level is Level.FULL)
        stretch = _stretch(part, led, run.of - run.at + 1)
        return f"{first}, then {stretch.partition(', ')[2]}" if first else stretch
    word = str(run.at) if now.level is Level.SPARSE and not now.before else led.knot.words
    last = run.at == run.of
    if now.level is Level.SPARSE and last:
        word = ""
    return _joined([word, "last" if last else ""])


def _stretch(part: Part, led: Led, count: int) -> str:
    """So many knots of one colour: `foam, 7 forward`."""
    counted = f"{count} {led.knot.words}" if count > 1 else led.knot.words
    return f"{part.design.said_of(led.leading)}, {counted}"


def _stretches(part: Part, leds: Sequence[Led]) -> str:
    """Several knots of an alpha band, those of one colour in one row as a count."""
    groups = [list(same) for _, same in groupby(leds, key=lambda led: (led.row, led.leading))]
    return _joined(_stretch(part, same[0], len(same)) for same in groups)


def _move(now: _Now, part: Part, move: Move) -> str:
    """A strand from slot to slot: `17 to 31, deep`."""
    words = telling.name_of(move)
    return f"{words}, {part.design.said_of(move.strand)}" if now.level is Level.FULL else words


def _alike(now: _Now, tie: Tie) -> int:
    """How many of the last `ALIKE` knots were of this kind and made with this string, back from the last one."""
    count = 0
    for number in reversed(now.progress.history[-ALIKE:]):
        step = now.whole.step(number)
        if not isinstance(step, Tie) or (step.knot, step.knotting) != (tie.knot, tie.knotting):
            break
        count += 1
    return count


def _run(now: _Now, part: Part, ties: Sequence[Tie]) -> str:
    """Several knots with one string: `deep at 3, 3 forward, backward`."""
    named = [] if now.holds(ties[0].knotting) else [_at(part, ties[0])]
    return _joined([*named, *_counted(ties)])


def _row(part: Part, ties: Sequence[Tie]) -> str:
    """Several knots with as many strings, pair beside pair: `from moss at 1 to the right, 2 forward, backward`."""
    words = []
    for stretch in _side_by_side(ties):
        first = _at(part, stretch[0])
        if len(stretch) > 1:
            side = "right" if stretch[1].left > stretch[0].left else "left"
            first = f"from {first} to the {side}"
        words += [first, *_counted(stretch)]
    return _joined(words)


def _side_by_side(ties: Sequence[Tie]) -> list[list[Tie]]:
    """The knots of a row, divided wherever the next one is not at the pair beside the last."""
    found = [[ties[0]]]
    for before, tie in pairwise(ties):
        if abs(tie.left - before.left) != 2:
            found.append([])
        found[-1].append(tie)
    return found


def _counted(ties: Sequence[Tie]) -> list[str]:
    """The knots by name, those that are alike and follow one another as a count: `3 forward`."""
    found = []
    for knot, alike in groupby(tie.knot for tie in ties):
        count = len(list(alike))
        found.append(f"{count} {knot.words}" if count > 1 else knot.words)
    return found


def _instruction(now: _Now, number: int, told: Told) -> str:
    full, sparse = now.level is Level.FULL, now.level is Level.SPARSE
    first_time = number - told.time + 1
    if told.time > 1 and now.heard and min(now.heard) >= first_time:
        if full:
            return f"{_time(told, now.level)}, {told.do}"
        if sparse:
            return "last" if told.time == told.of else str(told.time)
        return _time(told, now.level)
    times = f"{told.of} times" if sparse and told.time == 1 < told.of else _time(told, now.level)
    return _sentences(told.do, times, "" if sparse else told.hint or "")


def _instructions(steps: Iterable[Step]) -> str:
    """Several written steps, the times of a counted one as a count: `Fold. Braid, 12 times`."""
    words = []
    for do, same in groupby(map(telling.name_of, steps)):
        count = len(list(same))
        words.append(f"{do.rstrip('.')}, {count} times" if count > 1 else do)
    return _sentences(*words)


def _time(told: Told, level: Level) -> str:
    words = telling.counted(told)
    return words if level is Level.FULL else words.removeprefix("time ")


def _place(now: _Now, number: int, happened: Happened) -> str:
    """Where in the piece a step is, for who has not heard anything before it."""
    if happened is Happened.OUT:
        return "all out"
    whole, full = now.whole, now.level is Level.FULL
    part, step = whole.part_of(number), whole.step(number)
    if isinstance(step, Move):
        place = f"repeat {step.row} of {part.work.rows}" if full else f"repeat {step.row}"
    elif isinstance(step, (Tie, Led)):
        place = f"row {step.row} of {part.work.rows}" if full else f"row {step.row}"
    else:
        at = number - part.first + 1
        called = "" if len(whole.parts) == 1 else f"{part.called} "
        place = f"{called}step {at} of {part.work.size}" if full else f"{called}step {at}"
    return f"jumped to {place}" if happened is Happened.JUMPED else place


def _ends(now: _Now, steps: Sequence[int], number: int) -> list[str]:
    """What has come to its end with the steps just tied: a part of the piece, or rows and repeats in this part."""
    whole, level = now.whole, now.level
    part, before = whole.part_of(number), whole.part_of(steps[0])
    words = []
    if before.first < part.first:
        words.append(f"{before.called} done, now the {part.called}" if level is Level.FULL else f"{before.called} done")
    body, work = part.design.body, part.work
    in_repeat = len(body.rows) if isinstance(body, (Diagonal, Alpha)) else 1
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
    if rows and isinstance(body, (Diagonal, Alpha)):
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


def _to_come_out(whole: Whole, out: Sequence[int], level: Level) -> str:
    """What to undo now on the way to a wrong knot; its string hangs where the knot left it."""
    part, step = whole.part_of(out[0]), whole.step(out[0])
    if isinstance(step, Led):
        undo = [f"take out {step.knot.words}", telling.crossing(part.design, step)]
    elif isinstance(step, Move):
        undo = [f"move back {step.target} to {step.source}", part.design.said_of(step.strand)]
    elif isinstance(step, Tie):
        over = "" if level is Level.SPARSE else f" over {part.design.said_of(step.passive)}"
        undo = [f"take out {step.knot.words}", f"{part.design.said_of(step.knotting)} at {step.knotting_to}{over}"]
    else:
        undo = [f"take back {step.do.rstrip('.')}", _time(step, level)]
    more = f"{len(out) - 1} more" if len(out) > 1 else "last"
    if level is Level.FULL:
        more = f"{more} to come out" if len(out) > 1 else "the last to come out"
    return _joined([*undo, more])


def _undone(whole: Whole, steps: Sequence[int], level: Level) -> str:
    """What has come undone, the last step of several; it is to be done again, unless something else is said."""
    part, step = whole.part_of(steps[-1]), whole.step(steps[-1])
    name = telling.name_of(step).rstrip(".")
    words = [f"undo {len(steps)}", f"back to {name}"] if len(steps) > 1 else [f"undo {name}"]
    if isinstance(step, Told):
        return _joined([*words, _time(step, level)])
    if isinstance(step, (Led, Move)):
        what = telling.crossing(part.design, step) if isinstance(step, Led) else part.design.said_of(step.strand)
        return _joined([*words, "" if level is Level.SPARSE else what])
    if level is not Level.SPARSE:
        words.append(_over(part, step))
    if level is Level.FULL and step.knot.swaps:
        words.append(f"{part.design.said_of(step.knotting)} back at {step.knotting_from}")
    return _joined(words)


def _at(part: Part, tie: Tie) -> str:
    return f"{part.design.said_of(tie.knotting)} at {tie.knotting_from}"


def _over(part: Part, tie: Tie) -> str:
    return f"{part.design.said_of(tie.knotting)} over {part.design.said_of(tie.passive)}"


def _joined(words: Iterable[str]) -> str:
    return ", ".join(word for word in words if word)


def _sentences(*words: str) -> str:
    return ". ".join(word.rstrip(".") for word in words if word)
