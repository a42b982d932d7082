"""The screen of laying out: one length to cut or one colour group in large type, with what hangs already."""

from collections.abc import Callable

from benchmate.actions import shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.keys import KeysScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.step.view import shown_string
from benchmate.bench.terminal.guard import Press, Verdict
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.large_field import half_cells_of_large
from benchmate.bench.zones.room import room_for
from benchmate.bench.zones.view_values import COMING, Laying, View
from benchmate.craft.laying_out import LayingPlace, LayingStep
from benchmate.craft.shown_step import ComingStep
from benchmate.craft.start_band_finish import Part
from benchmate.craft.wording import step_words
from benchmate.display.cells import Line
from benchmate.display.large_type import TIED
from benchmate.families.registry import zone_of
from benchmate.piece_voice import PieceVoice
from benchmate.speech.sounds import Sound
from benchmate.store.open_piece import OpenPiece

LEFT, LAID_OUT, CUT = "left", "laid out", "cut"
"""The results when the person leaves the piece from this screen, when all hangs, and when all is cut that hangs later.
"""


class LayingOutScreen(LinesScreen[str]):
    """Leads through laying out a piece. Nothing here is counted; the result is `LEFT`, `LAID_OUT`, `CUT` or None."""

    def __init__(
        self,
        bench: Bench,
        held: OpenPiece,
        voice: PieceVoice,
        place: LayingPlace,
        keep_cut: Callable[[], str | None],
        *,
        notice: str = "",
    ) -> None:
        """`held` has at least one string. It begins at `place` and moves that.

        `keep_cut` saves which lengths are cut; it gives None, or why not, empty where nothing more can be saved.
        `notice` stands there until the next step.
        """
        super().__init__(bench)
        self._held = held
        self._voice = voice
        self._place = place
        self._keep_cut = keep_cut
        self._notice = notice
        self._does: dict[str, Callable[[], object]] = {
            "done": self._done,
            "back": self._back,
            "again": self._again,
            "voice": self._switch_voice,
            "light": self._change_light,
            "keys": lambda: self.app.push_screen(KeysScreen(bench), lambda _: self.show()),
            "leave": lambda: self.dismiss(LEFT),
            "lay_out": self._skip,
            "keep": lambda: self.dismiss(None),
        }

    def on_mount(self) -> None:
        """Says the step it begins at."""
        self._say(leads=True)

    def take_press(self, press: Press) -> bool:
        """Does what the key is for on the step screen, as far as that makes sense here."""
        keys = self.bench.settings.keys
        action = next((name for name in self._does if press.key in keys[name]), None)
        if action is None:
            known = press.key in {key for own in keys.values() for key in own}
            if known:
                self._notice = f"Not before the strings hang; {self._key('lay_out')} skips this."
                self.show()
            return known
        if press.verdict is Verdict.COUNTS:
            self._does[action]()
        return True

    def take_tap(self, press: Press) -> None:
        """Does for a tap on the table what a key for `done` does."""
        if press.verdict is Verdict.COUNTS:
            self._done()

    def lines(self, width: int, height: int) -> list[Line]:
        """The length to cut or the group to hang now, what follows, and what hangs already."""
        keys = (("lay_out", "skip"), ("leave", "leave"), ("keys", "keys"))
        hint = "  ".join(f"{self._key(action)} {says}" for action, says in keys)
        view = self._view()
        if bare := self._place.step.bare:
            view = _with_large_length(view, bare, self._main.design.say(self._place.step.colour), width, height)
        return compose(view, width, height, self.palette, self._picture(width, height), hint)

    @property
    def _main(self) -> Part:
        """The band, in the colours of this screen."""
        return self._held.whole.on_screen(self.depth).main

    def _view(self) -> View:
        held, place = self._held, self._place
        part, number, step = place.part, place.number, place.step
        design = self._main.design
        tags = step_words.tags({name: design.say(name) for name in dict.fromkeys(design.strings)})
        now = self._main.design_now(held.progress)
        filled = part.places_after(number)
        # While lengths are cut, nothing hangs yet, and the length may stand larger.
        hang = design.family.step_view.strings_hang and not place.in_lengths
        return View(
            title=f"{held.title}, mirrored" if held.way.mirrored else held.title,
            done=held.progress.done,
            of=held.whole.size,
            mode="tie",
            number=None,
            n=0,
            numbered="",
            word=step.word,
            note=step.note,
            field=design.colours[step.colour].value_at(0),
            left=None,
            right=None,
            strings=tuple(
                shown_string(now, position, tags[name], hangs=position in filled)
                for position, name in enumerate(design.strings, 1)
                if hang
            ),
            coming=tuple(map(self._coming, part.steps[number : number + COMING])),
            where=f"{part.verb} {number} of {len(part.steps)}",
            share=100 * held.progress.done // held.whole.size if held.whole.size else 100,
            time_left="",
            out=0,
            this_press=(),
            run=None,
            notice=self._notice,
            laying=Laying(step.places[0], step.places[-1]) if step.places else None,
        )

    def _coming(self, step: LayingStep) -> ComingStep:
        value = self._main.design.colours[step.colour].value_at(0)
        return ComingStep(step.word if step.length is None else step.line, step.word, step.word, (value,))

    def _picture(self, width: int, height: int) -> list[Line] | None:
        """The disk with the slots loaded so far, where the family has such a picture and there is room for it."""
        part = self._main
        zone = zone_of(part.design.family)
        if height <= 4 or zone is None or self._place.in_lengths:
            return None
        filled, now = self._place.part.places_after(self._place.number), self._place.step.places
        return zone.draw_laying_out(part, filled, now, width, height - 1, self.palette)

    def _done(self) -> None:
        """Goes on; leaves from the last step, and from the last length of strings that are hung later."""
        place = self._place
        cutting, before = place.in_lengths, place.state
        more = place.done()
        if cutting and (why := self._keep_cut()) is not None:
            place.return_to(before)
            self._not_kept(why)
        elif not more or (cutting and not place.in_lengths and not self._held.lays_out_now):
            self.dismiss(CUT if cutting else LAID_OUT)
        else:
            self._moved(Sound.DONE, leads=cutting and not place.in_lengths)

    def _not_kept(self, why: str) -> None:
        if not why:
            self.dismiss(None)
            return
        self._notice = why
        self.show()
        self._voice.say("not saved, not counted")

    def _back(self) -> None:
        place, before = self._place, self._place.state
        if not place.back():
            return
        if place.in_lengths and (why := self._keep_cut()) is not None:
            place.return_to(before)
            self._not_kept(why)
        else:
            self._moved(Sound.UNDONE)

    def _skip(self) -> None:
        """Leaves the lengths for what hangs, or else the screen."""
        if self._place.in_lengths:
            self._place.skip_lengths()
            if self._held.lays_out_now:
                self._moved(None, leads=True)
                return
        self.dismiss(None)

    def _moved(self, sound: Sound | None, *, leads: bool = False) -> None:
        self._notice = ""
        self.show()
        self._say(sound, leads=leads)

    def _say(self, sound: Sound | None = None, *, leads: bool = False, in_full: bool = False) -> None:
        """Says the step, after what it is a part of where it `leads` into that."""
        lead = self._place.part.words if leads else ""
        self._voice.say_laid(self._place.step, lead, sound, in_full=in_full)

    def _again(self) -> None:
        words = self._place.step.line
        self._notice = f"{words[0].upper()}{words[1:]}."
        self.show()
        if self._voice.on:
            if not self._voice.speaks:
                self._voice.switch(on=True)
            self._say(in_full=True)

    def _switch_voice(self) -> None:
        self._voice.switch(on=not self._voice.speaks)
        self._notice = "Voice on." if self._voice.on else "Voice off."
        self.show()
        self._say()

    def _change_light(self) -> None:
        self.bench.light = not self.bench.light
        self.show()

    def _key(self, action: str) -> str:
        return next(map(shown_key, self.bench.settings.keys[action]), "no key")


def _with_large_length(view: View, bare: str, colour: str, width: int, height: int) -> View:
    """The view with no line break within the length, and its colour below it where both have no room in large type."""
    lines = room_for(height, strings_known=False, paired=False).word
    tied = bare.replace(" ", TIED)
    # The note takes two lines at least, and so do the edges of the field.
    if half_cells_of_large(f"{colour} {tied}", width, max(1, lines - 4)):
        return view._replace(word=f"{colour} {tied}")
    return view._replace(word=tied, note=f"{colour}, {view.note}")
