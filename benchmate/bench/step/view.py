"""Makes what the step screen shows at one moment from the piece, as plain values, and the picture beside it."""

from collections.abc import Sequence
from functools import lru_cache

from benchmate.bench.zones.view_values import COMING, NEUTRAL_FIELD, UNKNOWN_STRING, Beat, Run, String, View
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR, ColourDepth
from benchmate.craft.design import Design
from benchmate.craft.history import timing
from benchmate.craft.shown_step import ComingStep
from benchmate.craft.wording import step_words
from benchmate.display.cells import Line
from benchmate.display.palette import Palette
from benchmate.families.registry import zone_of
from benchmate.piece_questions.trouble.beside_the_step import NOTHING, Quiet
from benchmate.store.open_piece import OpenPiece


def view_of(
    held: OpenPiece,
    *,
    press: str = "knot",
    counted: Sequence[int] | None = None,
    notice: str = "",
    quiet: Quiet = NOTHING,
    beat: Beat | None = None,
    depth: ColourDepth = TRUE_COLOUR,
) -> View:
    """The view of a piece as it is now, in colours for a screen of that `depth`.

    `counted` are the steps that one press ties; without them, all that a `press` means. `quiet` is a line beside the
    step, or what to do first.
    """
    held = held.on_screen(depth)
    out = held.must_come_out()
    if out:
        return _read_only(held, _undoing(held, out, notice))
    number = held.progress.next
    if number is None:
        return _finished(held, notice)
    part, step = held.whole.part_of(number), held.whole.step(number)
    step_view, design = part.design.family.step_view, part.design_at(number)
    counted = held.steps_of_press(press) if counted is None else counted
    ahead = held.progress.coming(len(counted) + COMING)[len(counted) :]
    view = _view(
        held,
        "tie",
        number,
        word=step_view.word(step),
        note=step_view.note(design, step),
        ahead=tuple(_coming(held, other) for other in ahead),
        this_press=() if press == "knot" else step_view.press(part.design, [held.whole.step(n) for n in counted]),
        run=_run(held, counted, next(iter(ahead), None)),
        notice=notice,
    )
    # Several pick-ups for one press fit the screen only without the length of the tails.
    tails = len(counted) == 1
    before = "; ".join(filter(None, (step_words.pick_up(held.whole, other, tails=tails) for other in counted)))
    know = step_words.before_first(held.whole) if number == held.whole.main.first else ""
    instead = step_words.instead(held.whole, number)
    if instead:
        know = know or f"Changed on purpose: {step_words.name_of(part, step)} {instead}."
    drawn = step_view.drawn(design, step)
    brief = "; ".join(filter(None, (step_words.pick_up_in_brief(held.whole, other) for other in counted)))
    view = view._replace(beat=beat, before=before, before_in_brief=brief, know=know, changed=bool(instead), drawn=drawn)
    view = _with_first(view, quiet) if quiet.first else view._replace(quiet=quiet.text, rest=quiet.rest)
    return _read_only(held, view)


def _with_first(view: View, quiet: Quiet) -> View:
    """The view with what to do before all else."""
    before, brief = ("; ".join(filter(None, (quiet.first, after))) for after in (view.before, view.before_in_brief))
    return view._replace(before=before, before_in_brief=brief)


def picture_beside(
    held: OpenPiece, number: int | None, width: int, height: int, palette: Palette, depth: ColourDepth
) -> list[Line] | None:
    """The band so far, or the disk, where a screen has room for it beside the rest."""
    part = held.on_screen(depth).as_known.main
    zone = zone_of(part.design.family)
    if height <= 4 or zone is None:
        return None
    wide = zone.width_beside(part, width, height - 1)
    if not wide:
        return None
    undone = held.wrong is not None
    return zone.draw(part, held.progress, number, wide, height - 1, palette, undone=undone)


def _read_only(held: OpenPiece, view: View) -> View:
    """The view for a read-only window, which nobody must take for a step to do, even from a distance."""
    if held.holding:
        return view
    return view._replace(
        mode="look", word="read-only", field=NEUTRAL_FIELD, note=f"{view.word}. {view.note}", drawn=None
    )


def _undoing(held: OpenPiece, out: list[int], notice: str) -> View:
    number = out[0]
    step = held.as_known.step(number)
    part = held.as_known.part_of(number)
    step_view = part.design.family.step_view
    count = "this is the last to undo" if len(out) == 1 else f"{len(out)} to undo, this one first"
    back = step_view.goes_back(part.design, step)
    if back:
        count = count[0].upper() + count[1:]
    return _view(
        held,
        "undo",
        number,
        word=f"undo {step_view.word(step_view.way_back(step))}",
        note=f"{back}{count}",
        ahead=tuple(_coming(held, other, "then undo: ", undone=True) for other in out[1 : COMING + 1]),
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
) -> View:
    whole, progress = held.as_known, held.progress
    main = whole.main.design
    step = None if number is None else whole.step(number)
    part = whole.main if number is None else whole.part_of(number)
    left = right = None
    field = NEUTRAL_FIELD
    if number is not None and step is not None:
        step_view = part.design.family.step_view
        undone = mode == "undo"
        design = part.design_at(number)
        sides = step_view.sides(design, step, None if undone else progress.current_run, undone=undone)
        left, right = sides or (None, None)
        string = step_view.field(step)
        field = NEUTRAL_FIELD if string is None else design.value_of(string)
    tags = _tags(tuple((name, main.say(name)) for name in dict.fromkeys(main.strings)))
    hanging = progress.hanging if main.family.step_view.strings_hang else []
    now, unsure = whole.main.design_now(progress) if hanging else main, whole.unsure_strings
    return View(
        title=f"{held.title}, mirrored" if held.way.mirrored else held.title,
        done=progress.done,
        of=whole.size,
        mode=mode,
        number=number,
        n=0 if number is None else held.order.place[number] + 1,
        numbered=_numbered(held, number),
        word=word,
        note=note,
        field=field,
        left=left,
        right=right,
        strings=tuple(
            shown_string(now, string, tags[main.body.colour_of(string)]) if string not in unsure else UNKNOWN_STRING
            for string in hanging
        ),
        coming=ahead,
        where=_where(held, number),
        share=100 * progress.done // whole.size if whole.size else 100,
        time_left=_time_left(held) if mode == "tie" else "",
        out=out,
        this_press=this_press,
        run=run,
        notice=notice,
    )


def shown_string(now: Design, string: int, tag: str, *, hangs: bool = True) -> String:
    """A string as it hangs; `now` is the design with what its variegated strings show."""
    colour = now.colours[now.body.colour_of(string)]
    return String(now.value_of(string), tag, hangs, colour.values if colour.sequence else ())


@lru_cache(maxsize=8)
def _tags(said: tuple[tuple[str, str], ...]) -> dict[str, str]:
    return step_words.tags(dict(said))


def _coming(held: OpenPiece, number: int, before: str = "", *, undone: bool = False) -> ComingStep:
    part, step = held.as_known.part_of(number), held.as_known.step(number)
    step_view = part.design.family.step_view
    return step_view.coming(part.design_at(number), step_view.way_back(step) if undone else step, before)


def _run(held: OpenPiece, counted: Sequence[int], after: int | None) -> Run | None:
    """The string in hand, and the one to pick up after its run.

    Where the `counted` steps go further than the run, it is the one for the step `after` them.
    """
    in_hand = held.progress.current_run
    whole = held.whole
    if in_hand is None or not (held.order.by == "segments" or whole.main.design.family.step_view.always_shows_run):
        return None
    words = step_words.in_hand(whole, in_hand)
    if in_hand.following in counted:
        in_hand = in_hand._replace(string=whole.knotting(counted[-1]), following=after)
    colour, hangs = "", 0
    if in_hand.following is not None:
        string = whole.knotting(in_hand.following)
        hanging = held.progress.hanging
        colour = whole.part_of(in_hand.following).design_at(in_hand.following).value_of(string)
        hangs = hanging.index(string) + 1 if string in hanging else 0
    following = step_words.next_pick_up(whole, in_hand, held.progress.hanging)
    return Run(in_hand.at, in_hand.of, words, colour, following, hangs)


def _where(held: OpenPiece, number: int | None) -> str:
    if number is None:
        return ""
    called, counts, at, of = step_words.place(held.whole, number)
    return f"{f'{called}: ' if called else ''}{counts} {at} of {of}"


def _numbered(held: OpenPiece, number: int | None) -> str:
    """The step's number; empty where the place at the top of the screen is that number."""
    if number is None or not held.whole.part_of(number).design.family.row_word:
        return ""
    return step_words.numbered(held.whole, number, held.order.place[number] + 1)


def _time_left(held: OpenPiece) -> str:
    """The time the band still takes, at the pace of this piece."""
    return timing.time_left(held.whole, held.progress.done, timing.own_pace(held.whole, held.presses))
