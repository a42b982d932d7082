"""What the bench shows at one moment: made from the piece as it stands, as plain values."""

from functools import lru_cache

from benchmate.bench.zones.view_values import COMING, NEUTRAL, Beat, Coming, Drawn, Run, Side, String, View
from benchmate.craft import pace, telling
from benchmate.craft.design import Alpha, Braid, Design
from benchmate.craft.start_band_finish import Part
from benchmate.craft.steps import Led, Move, Step, Tie, Told
from benchmate.store.held import Held

DRAWN = ("#e8a33d", "#8fd0e6")
"""The colours of the two strings of a drawing in a piece that has not two of its own."""


def view_of(
    held: Held, *, press: str = "knot", notice: str = "", now: float | None = None, beat: Beat | None = None
) -> View:
    """The bench for a piece as it stands; `now` (seconds, as the presses are timed) decides whether a rest is due."""
    out = held.must_come_out()
    if out:
        return _looked_on(held, _undoing(held, out, notice))
    number = held.progress.next
    if number is None:
        return _finished(held, notice)
    part, step = held.whole.part_of(number), held.whole.step(number)
    ahead = held.progress.coming(COMING + 1)[1:]
    counted = held.meant_by(press)
    view = _view(
        held,
        "tie",
        number,
        word=_word(step),
        note=_note(part, step),
        ahead=tuple(_coming(held, other) for other in ahead),
        this_press=() if press == "knot" else tuple(_coming(held, other).short for other in counted),
        run=_run(held),
        notice=notice,
        rest=now is not None and pace.rest_is_due(held.presses, now),
    )
    before = "; ".join(filter(None, (telling.taken_up(held.whole, other) for other in counted)))
    return _looked_on(held, view._replace(beat=beat, before=before, drawn=_drawn(part.design, step)))


def _looked_on(held: Held, view: View) -> View:
    """The view as it is for one who only looks on: it must not be taken for a step to do here, even from afar."""
    if held.holding:
        return view
    return view._replace(mode="look", word="looking on", field=NEUTRAL, note=f"{view.word}. {view.note}", drawn=None)


def _undoing(held: Held, out: list[int], notice: str) -> View:
    number = out[0]
    step = held.whole.step(number)
    part = held.whole.part_of(number)
    count = "this is the last to come out" if len(out) == 1 else f"{len(out)} to come out, this one first"
    return _view(
        held,
        "undo",
        number,
        word=f"undo {_word(step)}",
        note=f"{_way_back(part, step)}{count}",
        ahead=tuple(_coming(held, other, "then out: ") for other in out[1 : COMING + 1]),
        notice=notice,
        out=len(out),
    )


def _way_back(part: Part, step: Step) -> str:
    """Where a strand goes back to; the sides of a pair say that themselves."""
    if not isinstance(step, Move):
        return ""
    return f"{part.design.said_of(step.strand)}, back from slot {step.target} to slot {step.source}. "


def _finished(held: Held, notice: str) -> View:
    return _view(
        held,
        "done",
        None,
        word="all done" if held.whole.size else "nothing to tie",
        note="" if held.whole.main.design.family == "steps" else "Tie it on with room to move: never tight.",
        ahead=(),
        notice=notice,
    )


def _view(
    held: Held,
    mode: str,
    number: int | None,
    *,
    word: str,
    note: str,
    ahead: tuple[Coming, ...],
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
    field = NEUTRAL
    if isinstance(step, Tie):
        left, right = _sides(part.design, step, undone=mode == "undo")
        field = part.design.value_of(step.knotting)
    elif isinstance(step, Led):
        left, right = _led_sides(held, part.design, step, undone=mode == "undo")
        field = part.design.value_of(step.leading)
    elif isinstance(step, Move):
        field = part.design.value_of(step.strand)
    tags = _tags(tuple((name, main.said(name)) for name in dict.fromkeys(main.strings)))
    # The strands of a braid lie in the slots of their disk, which is drawn by itself.
    on_a_disk = isinstance(main.body, Braid)
    hanging = [] if on_a_disk else [main.body.colour_of(string) for string in progress.hanging]
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
    return telling.tags(dict(said))


def _sides(design: Design, tie: Tie, *, undone: bool) -> tuple[Side, Side]:
    """The pair as it hangs now. Before a knot comes out its strings hang where the knot left them."""
    maker_at, passive_at = (tie.knotting_to, tie.passive_to) if undone else (tie.knotting_from, tie.passive_from)
    maker_ends, passive_ends = (tie.knotting_from, tie.passive_from) if undone else (tie.knotting_to, tie.passive_to)
    sides = []
    for string, at, ends, makes in (
        (tie.knotting, maker_at, maker_ends, True),
        (tie.passive, passive_at, passive_ends, False),
    ):
        name = design.strings[string - 1]
        sides.append(Side(at, design.colours[name].value, design.said(name), makes, ends))
    one, other = sorted(sides)
    return one, other


def _word(step: Step) -> str:
    """What stands in large type."""
    return f"{step.source} → {step.target}" if isinstance(step, Move) else telling.name_of(step)


def _led_sides(held: Held, design: Design, led: Led, *, undone: bool) -> tuple[Side, Side]:
    """The leading string and the base string of its knot, as they come from left and right."""
    run = None if undone else held.progress.in_hand
    to_go = 1 if run is None else run.of - run.at + 1
    count = "leads" if run is None else f"leads: knot {run.at} of {run.of}"
    more = "the last of its run" if to_go == 1 else f"{to_go - 1} more after it"
    colour, base = design.value_of(led.leading), design.value_of(led.column)
    leading = Side(0, colour, design.said_of(led.leading), True, led.column, ("", count, more))
    column = (str(led.column), "base string", "is knotted over")
    passive = Side(led.column, base, design.said_of(led.column), False, led.column, column)
    return (leading, passive) if led.knot.from_left else (passive, leading)


def _drawn(design: Design, step: Step) -> Drawn | None:
    if not isinstance(step, Told) or step.draw is None:
        return None
    own = [design.value_of(string) for string in range(1, len(design.strings) + 1)]
    left, right = own[:2] if len(own) > 1 else DRAWN
    return Drawn(step.draw, left, right)


def _note(part: Part, step: Step) -> str:
    if isinstance(step, Tie):
        return telling.outcome(part.design, step)
    if isinstance(step, Led):
        return telling.crossing(part.design, step)
    if isinstance(step, Move):
        return f"{part.design.said_of(step.strand)}, from slot {step.source} to slot {step.target}"
    return ". ".join(text for text in (telling.counted(step), step.hint or "") if text)


def _coming(held: Held, number: int, before: str = "") -> Coming:
    part, step = held.whole.part_of(number), held.whole.step(number)
    value_of = part.design.value_of
    if isinstance(step, Told):
        words = ", ".join(text for text in (before + step.do, telling.counted(step)) if text)
        return Coming(words, words, words, ())
    if isinstance(step, Move):
        words = f"{before}{telling.name_of(step)}, {part.design.said_of(step.strand)}"
        return Coming(words, words, f"{step.source}>{step.target}", (value_of(step.strand),))
    if isinstance(step, Led):
        words = telling.crossing(part.design, step)
        brief = f"{before}{step.knot.value}, {words}"
        short = f"{step.knot.value} {step.column}"
        colours = (value_of(step.leading), value_of(step.column))
        return Coming(f"{before}{step.knot.words}, {words}", brief, short, colours)
    hands = telling.hands(part.design, step)
    return Coming(
        f"{before}{step.knot.words}, {hands}",
        f"{before}{step.knot.value}, {hands}",
        f"{step.knot.value} {step.knotting_from}/{step.passive_from}",
        (value_of(step.knotting), value_of(step.passive)),
    )


def _run(held: Held) -> Run | None:
    in_hand = held.progress.in_hand
    whole = held.whole
    if in_hand is None or not (held.order.by == "segments" or isinstance(whole.main.design.body, Alpha)):
        return None
    colour, hangs = "", 0
    if in_hand.following is not None:
        string = whole.maker(in_hand.following)
        hanging = held.progress.hanging
        colour, hangs = whole.main.design.value_of(string), hanging.index(string) + 1 if string in hanging else 0
    following = telling.next_pick_up(whole, in_hand, held.progress.hanging)
    return Run(in_hand.at, in_hand.of, telling.in_hand(whole, in_hand), colour, following, hangs)


def _saving(held: Held) -> str:
    if held.order.by != "segments":
        return ""
    by_segments, by_rows = held.pickups
    return f"pick-ups {by_segments}, by rows {by_rows}"


def _where(held: Held, number: int | None) -> str:
    if number is None:
        return ""
    part, step = held.whole.part_of(number), held.whole.step(number)
    if isinstance(step, (Tie, Led)):
        return f"row {step.row} of {part.work.rows}"
    if isinstance(step, Move):
        return f"repeat {step.row} of {part.work.rows}"
    named = "" if len(held.whole.parts) == 1 else f"{part.called}: "
    return f"{named}step {number - part.first + 1} of {part.work.size}"


def _seconds_left(held: Held) -> float | None:
    seconds = pace.seconds_a_knot(held.presses)
    return None if seconds is None else seconds * (held.whole.size - held.progress.done)
