"""Words that say what the hands have done: done, undone, a wrong knot, a different knot."""

from collections.abc import Sequence

from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompts import Happened
from benchmate.piece_questions import jump_targets, knot_choices
from benchmate.plain.in_piece.arguments import kind_and_number
from benchmate.plain.in_piece.session import Session


def done(session: Session, _: str) -> None:
    """Counts the step as done or, on the way to a wrong knot, as undone."""
    held = session.held
    number, comes_out = held.current_step()
    if number is None:
        session.refuse("All done.")
        return
    steps = [number] if comes_out else session.steps_of_press()
    does, happened = (held.finish_step, Happened.OUT) if comes_out else (lambda: held.tie(steps), Happened.TIED)
    changed = session.change(does, happened, steps)
    if changed and comes_out and held.wrong is None:
        session.notice("All undone. Tie this step again.")


def back(session: Session, _: str) -> None:
    """Undoes the last step; on the way to a wrong knot, ties the last undone step again or removes the mark."""
    held = session.held
    marked, last = held.wrong is not None, held.progress.last
    undone = [] if last is None or marked else [last]
    changed = session.change(held.back, Happened.UNDONE if undone else Happened.RESUMED, undone)
    if changed and marked and held.wrong is None:
        session.notice("Mark removed; the knot stays.")


def wrong(session: Session, given: str) -> None:
    """Asks which knot is wrong, says how many must come out to reach it, and marks it."""
    if session.blocked():
        return
    held = session.held
    if not held.progress.done:
        session.refuse("Nothing is tied yet.")
        return
    number = _which(session, given)
    if number is None:
        return
    question = f"{knot_choices.tied_knot_in_full(held, number)}. {knot_choices.how_many_out(held, number)}"
    if session.ask(question, ["this one is wrong"]) is not None:
        session.change(lambda: held.mark_wrong(number))


def _which(session: Session, given: str) -> int | None:
    """The number of the step that is meant; None, after a notice, when it is none."""
    held = session.held
    tied: Sequence[int] = held.progress.history[::-1]
    if given:
        kinds = jump_targets.kinds(held.whole)
        knot = held.whole.main.design.family.step_word
        found = kind_and_number(given, kinds, usual=knot)
        if found is None:
            session.refuse(f"Say which one: wrong 37, {', '.join(f'wrong {kind} 12' for kind in kinds)}.")
            return None
        kind, number = found
        if not 1 <= number <= jump_targets.count_of(held.whole, kind):
            session.refuse(jump_targets.how_many(held.whole, kind))
            return None
        if kind != "row":
            place = number - 1 + (0 if kind == "step" else held.whole.main.first)
            step = held.order.sequence[place]
            if held.progress.is_tied(step):
                return step
            session.refuse(f"{kind} {number} is not tied.")
            return None
        first, end = held.whole.main.work.span(number)
        row = range(held.whole.main.first + first, held.whole.main.first + end)
        tied = [step for step in tied if step in row]
        if not tied:
            session.refuse(f"Nothing is tied in row {number}.")
            return None
    chosen = session.ask_paged(
        "Which one is wrong? The last one first.", len(tied), lambda at: knot_choices.tied_knot_in_full(held, tied[at])
    )
    return None if chosen is None else tied[chosen]


def keep(session: Session, _: str) -> None:
    """Keeps the wrong knot. A search for the fewest pick-ups is stopped while it runs."""
    held = session.held
    if held.wrong is None:
        session.refuse("No knot is marked wrong.")
        return
    out = len(held.taken_out)
    says = f"The wrong knot stays; {counted(out, 'step')} undone." if out else "The wrong knot stays."
    session.change(held.unmark_wrong, then=lambda: says)


def other(session: Session, _: str) -> None:
    """Asks which knot was tied out of turn, and counts it."""
    if session.blocked():
        return
    held = session.held
    ready = held.progress.ready()
    if not ready:
        session.refuse("All done.")
        return
    question = "Which one did you tie?" if len(ready) > 1 else "Only this one can be done now. Is it done?"
    chosen = session.ask_paged(question, len(ready), lambda at: knot_choices.out_of_turn(held, ready[at]))
    if chosen is not None:
        number = ready[chosen]
        session.change(lambda: held.tie([number]), Happened.TIED, [number])
