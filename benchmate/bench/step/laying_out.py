"""Laying out from the step screen: when it is offered, and when it opens by itself."""

from benchmate.bench.step.laying_out_screen import LAID_OUT, LEFT, LayingOutScreen
from benchmate.bench.step.questions import Asks
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.zones.room import room_for
from benchmate.bench.zones.view_values import View
from benchmate.craft.wording.prompts import Happened


class LayingOut:
    """Opens the screen of laying out, and offers it on the step where the strings are laid out."""

    def __init__(self, step: Asks, spoken: SpokenStep, *, unasked: bool) -> None:
        """With `unasked`, the screen opens by itself, once, on that step."""
        self._step = step
        self._spoken = spoken
        self._unasked = unasked
        self._laid_at: int | None = None
        """How many steps were done when all was laid out, so that it is not offered again on that step."""

    def offered(self, view: View, height: int) -> tuple[View, tuple[tuple[str, str], ...]]:
        """The view of a screen of that height with the offer in it, where there is one.

        Besides, an action and what it does, to stand among the keys, where the line of the notice says something else.
        """
        held, key = self._step.held, self._step.key("lay_out")
        if not held.holding or not held.lays_out_now or not self._step.bench.settings.keys["lay_out"]:
            return view, ()
        laying = held.whole.laying_out()
        if not room_for(height).status:
            # A line for a notice would hide the string in hand.
            return view._replace(where=f"{key}: {laying.verb}"), ()
        if view.notice or view.beat or view.this_press or self._laid_at == held.progress.done:
            return view, (("lay_out", laying.verb),)
        return view._replace(notice=f"{key}: {laying.words} first, one {laying.each} at a time"), ()

    def open_unasked(self) -> bool:
        """Opens the screen where that is due; True when it did."""
        held = self._step.held
        if not self._unasked or not held.holding or not held.lays_out_now:
            return False
        self._open()
        return True

    def open(self) -> None:
        """Opens the screen, or says why not."""
        step = self._step
        if step.blocked():
            return
        if not step.held.whole.laying_out().steps:
            step.refuse("This design has no strings to lay out.", "no strings to lay out")
        elif not step.held.may_lay_out:
            step.refuse(
                "Laying out is possible only before the first knot.",
                "laying out is possible only before the first knot",
            )
        else:
            self._open()

    def _open(self) -> None:
        self._unasked = False
        self._step.ask(LayingOutScreen(self._step.bench, self._step.held, self._spoken.voice), self._laid_out)

    def _laid_out(self, left: str | None) -> None:
        if left == LEFT:
            self._step.leave()
        else:
            if left == LAID_OUT:
                self._laid_at = self._step.held.progress.done
            self._step.say("")
            self._spoken.say_step(Happened.RESUMED)
