"""A piece while it is worked on line by line: what every word may use."""

import time
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from benchmate.craft.progress import NotPossible
from benchmate.craft.wording.prompts import NOTHING_BESIDE, Beside, Happened, again
from benchmate.exit_status import BAD_INPUT
from benchmate.files.safe_text import shown
from benchmate.piece_exchange import LOST
from benchmate.piece_opening import OpenedPiece, UpdatedDesign
from benchmate.plain.answers import Answers
from benchmate.plain.asking_between_steps import Questions, in_a_prompt
from benchmate.plain.in_piece.step_line import for_press
from benchmate.plain.in_piece.trouble.noticed import PlainQuietLines
from benchmate.plain.lines import Lines
from benchmate.plain.pages import Pages
from benchmate.plain.stopped_by_word import STOP_LOOKING, Stopped, looks_for_word
from benchmate.plain.usual_settings import settings_or_usual
from benchmate.settings import Settings, change_settings
from benchmate.store import places
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

if TYPE_CHECKING:
    from benchmate.craft.drawing import Layout
    from benchmate.craft.laying_out import LayingPlace, LayingStep
    from benchmate.craft.start_band_finish import WholePiece
    from benchmate.piece_questions.band_length import KnownLengths
    from benchmate.piece_questions.thread.thread_at_the_end import ThreadAtTheEnd
    from benchmate.piece_voice import PieceVoice
    from benchmate.speech.sounds import Sound

TAKEN_OVER = "Another window has taken over this piece."
PLAN_NOT_SAVED = "The order with the fewest pick-ups could not be saved; continuing as before."
LOOKING = "Looking for the order with the fewest pick-ups."
LAST_WORDS = 10.0
"""The most seconds that the end of a piece waits for its last prompt."""


class Leave(Exception):
    """The person leaves, or has to; with the exit status."""

    def __init__(self, status: int) -> None:
        super().__init__(status)
        self.status = status


class Session(Questions):
    """One piece in plain mode, and after it the pieces that it leads to."""

    def __init__(self, opened: OpenedPiece, answers: Answers, lines: Lines) -> None:
        """`opened` is a piece that is held."""
        super().__init__(answers, lines)
        self.opened = opened
        self.press = "knot"
        """What an empty line counts. A script that knows nothing of the settings counts knots."""
        self.beat: float | None = None
        """Seconds for a knot in pace mode, once they were chosen."""
        self.laying: LayingPlace | None = None
        """Where the person was in laying out, kept as long as the piece is open."""
        self.cutting = False
        """True while an empty line ticks off a length. It ends with the next line of a step."""
        self.pages = Pages(lines)
        """A long text that is being read."""
        self.quiet = PlainQuietLines()
        self._voice: PieceVoice | None = None
        self._drawn: tuple[WholePiece, Layout | None] | None = None
        self._thread: tuple[WholePiece, ThreadAtTheEnd] | None = None
        self.settings: Settings = settings_or_usual(lines)
        self.known_lengths: KnownLengths | None = None
        """What was said of the length of this piece; None before anything was."""

    def change_settings(self, change: Callable[[Settings], Settings]) -> bool:
        """Changes the settings and saves them. False, with a notice, when that failed."""
        try:
            self.settings = change_settings(places.settings_file(), change)
        except StoreError as error:
            self.notice(shown(str(error)))
            return False
        if self._voice is not None:
            self._voice.settings = self.settings
        elif self.settings.sounds == "on":
            self.voice.switch(on=False)
        return True

    @property
    def held(self) -> OpenPiece:
        """The piece."""
        return self.opened.held

    @property
    def layout(self) -> "Layout | None":
        """The drawing of the band, made once for each design it goes on with; None when there is nothing to draw."""
        whole = self.held.whole
        if self._drawn is None or self._drawn[0] is not whole:
            from benchmate.piece_questions.band_pictures import layout_of

            self._drawn = whole, layout_of(self.held)
        return self._drawn[1]

    @property
    def thread_at_the_end(self) -> "ThreadAtTheEnd":
        """What can be asked about the thread of a finished piece, begun once for each design it goes on with."""
        whole = self.held.whole
        if self._thread is None or self._thread[0] is not whole:
            from benchmate.piece_questions.thread.thread_at_the_end import ThreadAtTheEnd

            self._thread = whole, ThreadAtTheEnd(self.held, self.settings)
        return self._thread[1]

    # What is printed, and what is asked.

    def read_on(self, texts: Iterable[str]) -> None:
        """Prints a long text, a page at a time."""
        self.pages.begin(texts)

    def say_step(self) -> None:
        """Prints the line of the step to do now, where there is one."""
        self.cutting = self._asking = False
        line = for_press(self.held, self.steps_of_press())
        if line is not None:
            number, _ = self.held.current_step()
            written = number is not None and not self.held.whole.part_of(number).design.family.row_word
            self.lines.step(line, written=written)

    def say_laid(
        self, text: str, step: "LayingStep", lead: str, sound: "Sound | None" = None, *, in_full: bool = False
    ) -> None:
        """Prints a step of laying out, and says it aloud as its level has it, if the voice is on."""
        self.lines.say(text)
        self._asking = False
        self._unsaid.clear()
        if self._voice is not None:
            self._voice.say_laid(step, lead, sound, in_full=in_full)

    # Changes to the piece.

    def steps_of_press(self) -> list[int]:
        """The steps that an empty line ties: with the voice on, no more of them than one prompt can say."""
        if self._voice is None:
            return self.held.steps_of_press(self.press)
        return self._voice.steps_of_press(self.held, self.press)

    def refuse(self, text: str) -> None:
        """Says why nothing was changed, aloud too if the voice is on."""
        self.notice(text)
        if self._asking:
            # The step follows once the question is left.
            self._unsaid.append(text)
            return
        self._unsaid.clear()
        if self._voice is not None:
            self._voice.refused(self.held, text, self.press)

    def blocked(self) -> bool:
        """True, with a notice that says why, while a wrong knot is being undone."""
        if self.held.wrong is not None:
            self.refuse("Undo the wrong knot first, or type keep to keep it.")
        return self.held.wrong is not None

    def change(
        self,
        change: Callable[[], None],
        happened: Happened = Happened.RESUMED,
        steps: Sequence[int] = (),
        *,
        then: Callable[[], str] = str,
        beside: Callable[[], Beside] = Beside,
    ) -> bool:
        """Changes the piece, and prints and says the step to do then. False, with a notice, when it was not possible.

        `then` gives what to print between, and `beside` what to say aloud with the step. Raises Leave when another
        window has taken the piece over.
        """
        try:
            change()
        except TakenOver:
            self.notice(f"{TAKEN_OVER} Nothing was counted; leaving.")
            raise Leave(BAD_INPUT) from None
        except NotPossible:
            self.refuse("Can't do that now: other knots first.")
            return False
        except LOST:
            self.notice("Not saved, not counted.")
            raise
        except StoreError as error:
            self.refuse(f"Not saved, not counted. {shown(str(error))}")
            return False
        self.make_plan()
        if words := then():
            self.say(words)
        aloud = beside().and_also(self.quiet.pressed(self))
        self.say_step()
        self.say_aloud(happened, steps, aloud)
        return True

    def change_design(self, changed: UpdatedDesign, then: Callable[[], str]) -> bool:
        """Goes on with a changed design."""
        return self.change(lambda: self.held.change_design(*changed), then=then)

    def make_plan(self) -> None:
        """Plans a piece worked by segments if it has no plan. Raises Leave when another window has taken it over."""
        held = self.held
        if not held.needs_plan:
            return
        if not held.can_plan_at_once:
            self.notice(LOOKING)
            if self.answers.is_person:
                self.notice(f"{STOP_LOOKING}: stop looking, work by rows.")
        try:
            try:
                held.use_plan(held.plan(None if held.can_plan_at_once else looks_for_word(self.answers)))
            except Stopped:
                held.change_way("rows", from_right=held.way.from_right)
                self.say("Search stopped; working by rows. Type way to choose again.")
        except TakenOver:
            self.notice(f"{TAKEN_OVER} Leaving.")
            raise Leave(BAD_INPUT) from None
        except LOST:
            raise
        except StoreError as error:
            self.notice(f"{PLAN_NOT_SAVED} {shown(str(error))}")

    # The voice.

    @property
    def voice_is_on(self) -> bool:
        """True while the voice is on and has not failed."""
        return self._voice is not None and self._voice.speaks

    @property
    def voice_failed(self) -> bool:
        """True while the voice is on but cannot speak."""
        return self._voice is not None and self._voice.on and not self._voice.speaks

    @property
    def voice(self) -> "PieceVoice":
        """The voice, which is made ready here and loads no engine before it speaks."""
        if self._voice is None:
            from benchmate.piece_voice import PieceVoice

            self._voice = PieceVoice(self.settings, self.notice)
        return self._voice

    def say_aloud(self, happened: Happened, steps: Sequence[int] = (), beside: Beside = NOTHING_BESIDE) -> None:
        """Says the step aloud, or the length that is to be cut, if the voice is on."""
        self._unsaid.clear()
        if self._voice is not None and self.cutting and self.laying is not None:
            self._voice.say_laid(self.laying.step)
        elif self._voice is not None:
            self._voice.say_step(self.held, happened, steps, self.press, beside)

    def tell_step(self) -> None:
        """Says the step aloud after the lines that were printed before it, if the voice is on."""
        self._unsaid.append(again(self.held.whole, self.held.progress, names=self.settings.knot_names))
        self.say_rest()

    def say_step_after(self) -> None:
        """Prints the step to do now, or the length to cut, and says it aloud after the lines that were not said yet."""
        words = in_a_prompt(self._unsaid) if self._unsaid else ""
        if self.cutting and self.laying is not None:
            self.lines.say(f"{self.laying.part.verb}: {self.laying.step.line}")
            self.say_aloud(Happened.RESUMED)
            return
        self.say_step()
        self.say_aloud(Happened.RESUMED, beside=Beside(words))

    def say_rest(self) -> None:
        """Says the lines aloud that were printed since the last answer, if the voice is on."""
        if self._voice is not None and self._unsaid:
            self._voice.say(in_a_prompt(self._unsaid))
        self._unsaid.clear()

    def stop_trial(self) -> None:
        """Stops what was spoken to try the voice out."""
        if self._voice is not None:
            self._voice.stop_trial()

    @property
    def speaking(self) -> bool:
        """True while a prompt is being spoken."""
        return self._voice is not None and self._voice.speaking

    def hear_out(self) -> None:
        """Waits for the last prompt, because leaving would cut it off."""
        until = time.monotonic() + LAST_WORDS
        while self.voice_is_on and self.speaking and time.monotonic() < until:
            time.sleep(0.05)

    # Other pieces.

    def open(self, opened: OpenedPiece) -> bool:
        """Leaves this piece for another one. False, with a notice, when that cannot be held here."""
        try:
            opened.held.hold()
        except TakenOver:
            self.refuse("That piece is open in another window. Leave it there, then try again.")
            return False
        except LOST:
            raise
        except StoreError as error:
            self.refuse(shown(str(error)))
            return False
        self.held.check_saved()
        self.let_go()
        self.opened, self.known_lengths = opened, None
        self.laying, self.cutting = None, False
        return True

    def let_go(self) -> None:
        """Lets go of the piece."""
        self.held.let_go()

    def close(self) -> None:
        """Ends the voice, which leaves no process and no file."""
        if self._voice is not None:
            self._voice.close()
