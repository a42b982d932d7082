"""Cutting and laying out from the step screen: when they are offered, and when they open unasked."""

from typing import Protocol

from benchmate.bench.step.laying_out_screen import CUT, LAID_OUT, LEFT, LayingOutScreen
from benchmate.bench.step.questions import Asks
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.zones.room import room_for
from benchmate.bench.zones.view_values import View
from benchmate.craft.laying_out import LayingPlace
from benchmate.craft.wording.prompts import Happened
from benchmate.piece_exchange import LOST
from benchmate.piece_questions.lengths_to_cut import (
    all_cut,
    cuts_now,
    cutting_words,
    how_many_cut,
    in_the_middle,
    keep_cut,
    parts_of_laying_out,
    place_of,
)
from benchmate.store.errors import StoreError
from benchmate.store.pieces import TakenOver


class LaysOut(Asks, Protocol):
    """The step screen as laying out uses it."""

    def cannot_save(self, error: StoreError) -> None:
        """Stops counting: the piece can no longer be saved where it was."""


class LayingOut:
    """Opens the screen of laying out, and offers it where lengths are cut and where the strings are laid out.

    Where the person was in it is kept as long as the piece is open.
    """

    def __init__(self, step: LaysOut, spoken: SpokenStep, *, unasked: bool) -> None:
        """With `unasked`, the screen opens unasked, once for the lengths and once for what hangs.

        So it does where some of the lengths are cut, and not all.
        """
        self._step = step
        self._spoken = spoken
        self._cuts_unasked = self._hangs_unasked = unasked or in_the_middle(step.held)
        self._notice = ""
        """What the step screen said when this one opened unasked over it, to be said after it."""
        self._place: LayingPlace | None = None
        self._told = ""
        """The notice about the lengths that was shown, so that it is shown once."""
        self._failed: TakenOver | StoreError | None = None
        """Why what was cut could not be kept, where nothing more can be."""
        self._laid_at: int | None = None
        """How many steps were done when all was laid out, so that it is not offered again on that step."""

    def offered(self, view: View, height: int) -> tuple[View, tuple[tuple[str, str], ...]]:
        """The view of a screen of that height with the offer in it, where there is one.

        Besides, an action and what it does, to stand among the keys, where the line of the notice says something else.
        """
        held, key = self._step.held, self._step.key("lay_out")
        if not self._step.bench.settings.keys["lay_out"]:
            return view, ()
        if self._to_cut:
            verb, words = "cut", f"{cutting_words(held)} first"
        elif self._to_hang:
            laying = held.whole.laying_out()
            verb, words = laying.verb, f"{laying.words} first, one {laying.each} at a time"
        else:
            return view, ()
        if not room_for(height).status:
            # A line for a notice would hide the string in hand.
            return view._replace(where=f"{key}: {verb}"), ()
        if view.notice or view.beat or view.this_press or self._laid_at == held.progress.done:
            return view, (("lay_out", verb),)
        return view._replace(notice=f"{key}: {words}"), ()

    @property
    def _to_cut(self) -> bool:
        """True where lengths are to be cut, and none of them was skipped."""
        held = self._step.held
        return held.holding and cuts_now(held) and (self._place is None or self._place.in_lengths)

    @property
    def _to_hang(self) -> bool:
        return self._step.held.holding and self._step.held.lays_out_now

    def open_unasked(self) -> bool:
        """Opens the screen where that is due; True when it did."""
        if not (self._cuts_unasked and self._to_cut) and not (self._hangs_unasked and self._to_hang):
            return False
        self._notice = self._step.notice
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
        held = self._step.held
        self._cuts_unasked = False
        if held.lays_out_now:
            self._hangs_unasked = False
        parts = parts_of_laying_out(held, self._step.bench.settings.scrap)
        notice = parts.notice if parts.notice != self._told else ""
        if self._place is None:
            notice = " ".join(filter(None, (how_many_cut(held), notice)))
        self._place = place_of(held, parts, self._place)
        if not cuts_now(held):
            self._place.skip_lengths()
        screen = LayingOutScreen(
            self._step.bench,
            held,
            self._spoken.voice,
            self._place,
            self._keep_cut,
            notice=notice if self._place.in_lengths else "",
        )
        self._told = parts.notice
        self._step.ask(screen, self._laid_out)

    def _keep_cut(self) -> str | None:
        """Saves which lengths are cut; why not, empty where nothing more can be saved, or None where it did."""
        assert self._place is not None
        try:
            keep_cut(self._step.held, self._place)
        except (TakenOver, *LOST) as error:
            self._failed = error
            return ""
        except StoreError as error:
            return f"NOT SAVED, NOT COUNTED. {error}"
        return None

    def _laid_out(self, left: str | None) -> None:
        step = self._step
        failed, self._failed = self._failed, None
        notice, self._notice = self._notice, ""
        if isinstance(failed, TakenOver):
            step.lost(failed)
        elif failed is not None:
            step.cannot_save(failed)
        elif left == LEFT:
            step.leave()
        elif left == CUT and self._place is not None:
            cut = all_cut(len(self._place.lengths))
            step.say(f"{cut[0].upper()}{cut[1:]}. {step.key('done')}: next step.")
            self._spoken.say_then_step(cut)
        else:
            if left == LAID_OUT:
                self._laid_at = step.held.progress.done
            step.say(notice)
            self._spoken.say_step(Happened.RESUMED)
