"""Makes what the step screen shows at one moment from the piece, as plain values."""

from functools import lru_cache

from benchmate.bench.zones.view_values import COMING, NEUTRAL_FIELD, Beat, Run, String, View
from benchmate.craft import pace
from benchmate.craft.shown_step import ComingStep
from benchmate.craft.wording import step_words
from benchmate.store.open_piece import OpenPiece


def view_of(
    held: OpenPiece, *, press: str = "knot", notice: str = "", now: float | None = None, beat: Beat | None = None
) -> View:
    """The view of a piece as it is now; `now` (seconds on the clock of the presses) decides whether a rest is due."""
    out = held.must_come_out()
    if out:
        return _read_only(held, _undoing(held, out, notice))
    number = held.progress.next
    if number is None:
        return _finished(held, notice)
    part, step = held.whole.part_of(number), held.whole.step(number)
    step_view = part.design.family.step_view
    ahead = held.progress.coming(COMING + 1)[1:]
    counted = held.steps_of_press(press)
    view = _view(
        held,
        "tie",
        number,
        word=step_view.word(step),
        note=step_view.note(part.design, step),
        ahead=tuple(_coming(held, other) for other in ahead),
        this_press=() if press == "knot" else tuple(_coming(held, other).short for other in counted),
        run=_run(held),
        notice=notice,
        rest=now is not None and pace.rest_is_due(held.presses, now),
    )
    # Several pick-ups for one press fit the screen only without the length of the tails.
    tails = len(counted) == 1
    before = "; ".join(filter(None, (step_words.pick_up(held.whole, other, tails=tails) for other in counted)))
    return _read_only(held, view._replace(beat=beat, before=before, drawn=step_view.drawn(part.design, step)))


def _read_only(held: OpenPiece, view: View) -> View:
    """The view for a read-only window, which nobody must take for a step to do, even from a distance."""
    if held.holding:
        return view
    return view._replace(
        mode="look", word="read-only", field=NEUTRAL_FIELD, note=f"{view.word}. {view.note}", drawn=None
    )


def _undoing(held: OpenPiece, out: list[int], notice: str) -> View:
    number = out[0]
    step = held.whole.step(number)
    part = held.whole.part_of(number)
    step_view = part.design.family.step_view
    count = "this is the last to undo" if len(out) == 1 else f"{len(out)} to undo, this one first"
    back = step_view.goes_back(part.design, step)
    if back:
        count = count[0].upper() + count[1:]
    return _view(
        held,
        "undo",
        number,
        word=f"undo {step_view.word(step)}",
        note=f"{back}{count}",
        ahead=tuple(_coming(held, other, "then undo: ") for other in out[1 : COMING + 1]),
        notice=notice,
        out=len(out),
    )


def _finished(held: OpenPiece, notice: str) -> View:
    return _view(
        held,
        "done",
        None,
        word="all done" if held.whole.size else "nothing to tie",
        note=held.whole.main.design.family.step_view.when_done,
        ahead=(),
        notice=notice,
    )


def _view(
    held: OpenPiece,
    mode: str,
    number: int | None,
    *,
    word: str,
    note: str,
    ahead: tuple[ComingStep, ...],
    notice: str,
    this_press: tuple[str, ...] = (),
    run: Run | None = None,
    out: int = 0,
    rest: bool = False,
) -> View:
    whole, progress = held.whole, held.progress
    main = whole.main.design
    step = None if number is None else whole.step(number)
    part = whole.main if number is None else whole.part_of(number)
    left = right = None
    field = NEUTRAL_FIELD
    if step is not None:
        step_view = part.design.family.step_view
        undone = mode == "undo"
        sides = step_view.sides(part.design, step, None if undone else progress.current_run, undone=undone)
        left, right = sides or (None, None)
        string = step_view.field(step)
        field = NEUTRAL_FIELD if string is None else part.design.value_of(string)
    tags = _tags(tuple((name, main.say(name)) for name in dict.fromkeys(main.strings)))
    strings = progress.hanging if main.family.step_view.strings_hang else []
    hanging = [main.body.colour_of(string) for string in strings]
    return View(
        title=f"{held.title}, mirrored" if held.way.mirrored else held.title,
        done=progress.done,
        of=whole.size,
        mode=mode,
        number=number,
        n=0 if number is None else held.order.place[number] + 1,
        word=word,
        note=note,
        field=field,
        left=left,
        right=right,
        strings=tuple(String(main.colours[name].value, tags[name]) for name in hanging),
        coming=ahead,
        where=_where(held, number),
        share=100 * progress.done // whole.size if whole.size else 100,
        seconds_left=_seconds_left(held) if mode == "tie" else None,
        out=out,
        this_press=this_press,
        run=run,
        saving=_saving(held) if mode == "tie" else "",
        notice=notice,
        rest=rest,
    )


@lru_cache(maxsize=8)
def _tags(said: tuple[tuple[str, str], ...]) -> dict[str, str]:
    return step_words.tags(dict(said))


def _coming(held: OpenPiece, number: int, before: str = "") -> ComingStep:
    part, step = held.whole.part_of(number), held.whole.step(number)
    return part.design.family.step_view.coming(part.design, step, before)


def _run(held: OpenPiece) -> Run | None:
    in_hand = held.progress.current_run
    whole = held.whole
    if in_hand is None or not (held.order.by == "segments" or whole.main.design.family.step_view.always_shows_run):
        return None
    colour, hangs = "", 0
    if in_hand.following is not None:
        string = whole.knotting(in_hand.following)
        hanging = held.progress.hanging
        colour, hangs = whole.main.design.value_of(string), hanging.index(string) + 1 if string in hanging else 0
    following = step_words.next_pick_up(whole, in_hand, held.progress.hanging)
    return Run(in_hand.at, in_hand.of, step_words.in_hand(whole, in_hand), colour, following, hangs)


def _saving(held: OpenPiece) -> str:
    if held.order.by != "segments":
        return ""
    by_segments, by_rows = held.pickups
    return f"pick-ups {by_segments}, by rows {by_rows}"


def _where(held: OpenPiece, number: int | None) -> str:
    if number is None:
        return ""
    called, counts, at, of = step_words.place(held.whole, number)
    return f"{f'{called}: ' if called else ''}{counts} {at} of {of}"


def _seconds_left(held: OpenPiece) -> float | None:
    seconds = pace.seconds_a_knot(held.presses)
    return None if seconds is None else seconds * (held.whole.size - held.progress.done)
