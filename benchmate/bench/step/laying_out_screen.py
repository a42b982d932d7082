"""The screen of laying out: one colour group in large type, with what hangs already."""

from collections.abc import Callable

from benchmate.actions import shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.keys import KeysScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.terminal.guard import Press, Verdict
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.view_values import COMING, Laying, String, View
from benchmate.craft.laying_out import LayingStep
from benchmate.craft.shown_step import ComingStep
from benchmate.craft.start_band_finish import Part
from benchmate.craft.wording import step_words
from benchmate.display.cells import Line
from benchmate.families.registry import zone_of
from benchmate.piece_voice import PieceVoice
from benchmate.store.open_piece import OpenPiece

LEFT, LAID_OUT = "left", "laid out"
"""The results when the person leaves the piece from this screen, and when all is laid out."""


class LayingOutScreen(LinesScreen[str]):
    """Leads through laying out a piece. Nothing here is counted or saved; the result is `LEFT`, `LAID_OUT`, or None."""

    def __init__(self, bench: Bench, held: OpenPiece, voice: PieceVoice) -> None:
        """`held` has at least one string."""
        super().__init__(bench)
        self._held = held
        self._voice = voice
        self._laying = held.whole.laying_out()
        self._at = 0
        self._notice = ""
        self._does: dict[str, Callable[[], object]] = {
            "done": lambda: self._go(1),
            "back": lambda: self._go(-1),
            "again": self._again,
            "voice": self._switch_voice,
            "light": self._change_light,
            "keys": lambda: self.app.push_screen(KeysScreen(bench), lambda _: self.show()),
            "leave": lambda: self.dismiss(LEFT),
            "lay_out": lambda: self.dismiss(None),
            "keep": lambda: self.dismiss(None),
        }

    def on_mount(self) -> None:
        """Says the first step."""
        self._say(first=True)

    def take_press(self, press: Press) -> bool:
        """Does what the key is for on the step screen, as far as that makes sense here."""
        keys = self.bench.settings.keys
        action = next((name for name in self._does if press.key in keys[name]), None)
        if action is None:
            return press.key in {key for own in keys.values() for key in own}
        if press.verdict is Verdict.COUNTS:
            self._does[action]()
        return True

    def lines(self, width: int, height: int) -> list[Line]:
        """The group to hang now, the groups that follow, and what hangs already."""
        keys = (("lay_out", "skip"), ("leave", "leave"), ("keys", "keys"))
        hint = "  ".join(f"{self._key(action)} {says}" for action, says in keys)
        return compose(self._view(), width, height, self.palette, self._picture(width, height), hint)

    @property
    def _main(self) -> Part:
        """The band, in the colours of this screen."""
        return self._held.whole.on_screen(self.depth).main

    def _view(self) -> View:
        held, steps = self._held, self._laying.steps
        design, step = self._main.design, steps[self._at]
        tags = step_words.tags({name: design.say(name) for name in dict.fromkeys(design.strings)})
        filled = self._laying.places_after(self._at + 1)
        hang = design.family.step_view.strings_hang
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
            field=design.colours[step.colour].value,
            left=None,
            right=None,
            strings=tuple(
                String(design.colours[name].value, tags[name], hangs=place in filled)
                for place, name in enumerate(design.strings, 1)
                if hang
            ),
            coming=tuple(map(self._coming, steps[self._at + 1 : self._at + 1 + COMING])),
            where=f"{self._laying.verb} {self._at + 1} of {len(steps)}",
            share=100 * held.progress.done // held.whole.size if held.whole.size else 100,
            time_left="",
            out=0,
            this_press=(),
            run=None,
            notice=self._notice,
            rest=False,
            laying=Laying(step.places[0], step.places[-1]) if step.places else None,
        )

    def _coming(self, step: LayingStep) -> ComingStep:
        value = self._main.design.colours[step.colour].value
        return ComingStep(step.word, step.word, step.word, (value,))

    def _picture(self, width: int, height: int) -> list[Line] | None:
        """The disk with the slots loaded so far, where the family has such a picture and there is room for it."""
        part = self._main
        zone = zone_of(part.design.family)
        if height <= 4 or zone is None:
            return None
        filled, now = self._laying.places_after(self._at + 1), self._laying.steps[self._at].places
        return zone.draw_laying_out(part, filled, now, width, height - 1, self.palette)

    def _go(self, by: int) -> None:
        """Moves on or back by a step; on from the last one, leaves."""
        at = self._at + by
        if at >= len(self._laying.steps):
            self.dismiss(LAID_OUT)
            return
        self._at, self._notice = max(0, at), ""
        self.show()
        self._say()

    def _say(self, *, first: bool = False) -> None:
        words = self._laying.steps[self._at].line
        self._voice.say(f"{self._laying.words}: {words}" if first else words)

    def _again(self) -> None:
        words = self._laying.steps[self._at].line
        self._notice = f"{words[0].upper()}{words[1:]}."
        self.show()
        if self._voice.on:
            if not self._voice.speaks:
                self._voice.switch(on=True)
            self._say()

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
