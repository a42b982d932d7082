"""Words that say what the hands have done: done, undone, a wrong knot kept, a different knot."""

from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompts import Beside, Happened
from benchmate.piece_questions import knot_choices
from benchmate.piece_questions.trouble import known_mistakes
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

    dropped = known_mistakes.dropped_with(held, [number]) if comes_out else ""

    def beside() -> Beside:
        if not comes_out or held.wrong is not None:
            return Beside(dropped)
        once = known_mistakes.once_out(held, "wrong strings")
        session.notice(once.to_read("All undone. Tie this step again."))
        return once.and_also(Beside(dropped))

    session.change(does, happened, steps, then=lambda: dropped, beside=beside)


def back(session: Session, _: str) -> None:
    """Undoes the last step; on the way to a wrong knot, ties the last undone step again or removes the mark."""
    held = session.held
    marked, last = held.wrong is not None, held.progress.last
    undone = [] if last is None or marked else [last]
    forgotten = known_mistakes.forgotten_words(held, undone)
    happened = Happened.UNDONE if undone else Happened.RESUMED
    changed = session.change(held.back, happened, undone, then=lambda: forgotten)
    if changed and marked and held.wrong is None:
        session.notice("Mark removed; the knot stays.")


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
