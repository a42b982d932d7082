"""The app: which screen is open, the keys and their guard, signals, and the copies of the pieces."""

import asyncio
import signal
from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import events, work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from benchmate import piece_opening as openings
from benchmate.actions import MOUSE, RESERVED
from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.question import CONTINUE, LEAVE, LOOK_ON, NEW, TAKE_OVER, Answer, Callback, Question, act
from benchmate.bench.screens.voice_settings import VoiceSettingsScreen
from benchmate.bench.step.laying_out_screen import LayingOutScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.bench.terminal.driver import TerminalDriver
from benchmate.bench.terminal.guard import Guard
from benchmate.bench.terminal.held_over import HeldOver
from benchmate.bench.terminal.judged_key import HeldKey, Key, name_of
from benchmate.bench.terminal.tty import WATCH, end_without_terminal, has_terminal, take_back_after_stop
from benchmate.craft.progress import NotPossible
from benchmate.craft.ways import Way
from benchmate.craft.wording.counting import counted
from benchmate.design_files.load import load
from benchmate.exit_status import BAD_STORE
from benchmate.files.safe_text import shown
from benchmate.files.tree import BadFile
from benchmate.files.unexpected import in_one_line
from benchmate.listening.pedal import Pedal
from benchmate.piece_length import length_asked_for
from benchmate.piece_opening import Kept, OpenedPiece, UpdatedDesign, WorkingOptions
from benchmate.piece_voice import PieceVoice
from benchmate.settings import Settings, change_settings
from benchmate.store import places
from benchmate.store.errors import Gone, StoreError, fault
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver
from benchmate.store.reading import Piece

COPY_EVERY = 1800.0
"""Seconds between copies of the pieces while the screen is open."""
LATER = 5.0
"""Seconds before the next try to show a notice that had to wait."""
TAP = "tap"
"""What the guard calls a tap on the table."""
KEY_NOISE = 0.3
"""Seconds after a key event in which a tap that is heard is its noise; one heard before it may be that of two keys."""


class BenchApp(App[int]):
    """The full screen, opened on the list of pieces or on one piece."""

    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { background: #101315; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "quit", "leave", priority=True),
        Binding("ctrl+z", "suspend_process", "back to the shell for now", priority=True),
    ]

    def __init__(self, kept: Kept, settings: Settings, opening: OpenedPiece | None) -> None:
        """`opening` is the piece to open on; None opens on the list."""
        super().__init__()
        self.kept = kept
        self.settings = settings
        self._guard = Guard(settings.guard / 1000)
        self.held_over = HeldOver(self._guard.guard, self._pass_on, self.set_timer)
        self.press = settings.press
        self.voice = PieceVoice(settings, self._voice_reports)
        self._pedal = Pedal(self.heard_tap, self.voice.quiet_since, self._voice_reports)
        self.light = settings.screen == "light"
        self._opening = opening
        self._last_key = float("-inf")
        self._home: HomeScreen | None = None
        self._bench: StepScreen | None = None
        self.left: OpenPiece | None = None
        """The piece left last, for the line printed after the screen is closed."""
        self.lost: StoreError | None = None
        """Why the open piece can no longer be saved, once a person has been told and has decided what to do."""

    def get_driver_class(self) -> type[Driver]:
        """The bench's own driver, unless another one was asked for."""
        usual = super().get_driver_class()
        return TerminalDriver if usual is LinuxDriver else usual

    def on_mount(self) -> None:
        """Opens the piece or the list, and sets up signals."""
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT, signal.SIGQUIT):
            loop.add_signal_handler(number, self.exit, 0)
        self.app_resume_signal.subscribe(self, lambda _: self.refresh(layout=True))
        self.set_interval(WATCH, self._watch_terminal)
        if not self.is_headless and self._driver is not None:
            end_without_terminal()
            take_back_after_stop(self._driver, loop, lambda: loop.call_soon_threadsafe(self.refresh))
        self.hear_mouse()
        if "on" in (self.settings.voice, self.settings.sounds):
            self.voice.switch(on=self.settings.voice == "on")
        self._listen()
        if self._opening is not None:
            self.open(self._opening)
        else:
            self._home = HomeScreen(self, self.kept)
            self.push_screen(self._home)
        if isinstance(self._driver, TerminalDriver):
            self.call_after_refresh(self._driver.restore_if_killed)
        self.call_after_refresh(self._make_copy)
        self.set_interval(COPY_EVERY, self._make_copy)

    def _watch_terminal(self) -> None:
        # With the terminal gone and SIGHUP ignored, reading from it would loop for ever.
        if not self.is_headless and not has_terminal():
            self.exit(0)

    @work(thread=True, exit_on_error=False)
    def _make_copy(self) -> None:
        """Copies what no copy has yet: at the start, the work of a window that was killed."""
        try:
            self.kept.keep_copy()
        except Gone:
            # The step screen says so itself, and has more to offer.
            return
        except StoreError as error:
            self.call_from_thread(self._say_when_quiet, str(error))
        except Exception as error:
            # A copy that fails in an unforeseen way must be said, and must not end the bench.
            failed = f"The copy of your pieces was not made ({in_one_line(error)})."
            self.call_from_thread(self._say_when_quiet, f"{failed} Every step is still saved.")

    def _say_when_quiet(self, notice: str) -> None:
        # A notice about an unsaved press matters more than the copy.
        if self.screen is self._home or (self.screen is self._bench and not self._bench.notice):
            self._say(notice)
        else:
            self.set_timer(LATER, lambda: self._say_when_quiet(notice))

    def _say(self, notice: str) -> None:
        if self._bench is not None:
            self._bench.say(notice)
        elif self._home is not None:
            self._home.say(notice)

    async def on_event(self, event: events.Event) -> None:
        """Has the guard judge every key event before anything acts on it."""
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
            return
        self._last_key = event.time
        key = Key(event, self._guard.press(name_of(event), event.time, held=isinstance(event, HeldKey)))
        screen = self.screen
        moves, asked = (screen.repeats, screen.asked) if isinstance(screen, LinesScreen) else ((), None)
        await self.held_over.take(key, (screen, asked), moves)

    async def _pass_on(self, key: Key) -> None:
        """Has the screen in front act on a key event, at once or in turn, after all that the key before has led to."""
        await self._flush_next_callbacks()
        screen = self.screen if isinstance(self.screen, LinesScreen) and key.key not in RESERVED else None
        if screen is None or not (screen.take_press(key.press) or not screen.takes(key) or screen.take_key(key)):
            await super().on_event(key)

    class VoiceReports(Message):
        """The voice cannot speak, or no taps can be heard; `words` says why."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    class Tapped(Message):
        """A tap on the table was heard, at the time `at` by the monotonic clock."""

        def __init__(self, at: float) -> None:
            super().__init__()
            self.at = at

    def heard_tap(self, at: float) -> None:
        """Takes a tap on the table, at the time `at` by the monotonic clock, as a press. For any thread."""
        self.post_message(self.Tapped(at))

    def on_bench_app_tapped(self, message: Tapped) -> None:
        """Counts a tap as a key for `done` would, where steps are done, unless it is the noise of a key."""
        if isinstance(self.screen, StepScreen | LayingOutScreen) and message.at - self._last_key >= KEY_NOISE:
            self.screen.take_tap(self._guard.press(TAP, message.at))

    def _voice_reports(self, words: str) -> None:
        # This runs in another thread; posting a message does not block it.
        self.post_message(self.VoiceReports(words))

    def on_bench_app_voice_reports(self, message: VoiceReports) -> None:
        """Shows why the voice cannot speak, or the pedal not hear; the bench works on without it."""
        if isinstance(self.screen, VoiceSettingsScreen):
            self.screen.say(message.words)
        else:
            self._say(message.words)

    def _fatal_error(self) -> None:
        """Leaves after an error that nothing foresaw, with a report in a file and one line about it.

        The framework would print a traceback with parts of the person's piece in it.
        """
        assert self._exception is not None
        told = fault(self.kept.home, self._exception)
        self._exit_renderables.append(Text(f"benchmate: {told}"))
        self._close_messages_no_wait()

    def on_unmount(self) -> None:
        """Closes the voice and the pedal, which then leave no process and no file."""
        self.voice.close()
        self._pedal.stop()

    def _listen(self) -> None:
        """Listens for taps, or stops, as the settings say."""
        if self.settings.listen == "on":
            self._pedal.start()
        else:
            self._pedal.stop()

    @property
    def speaks(self) -> bool:
        """True while the voice is on."""
        return self.voice.on

    def speak(self, words: str) -> None:
        """Says what a screen shows, if the voice is on."""
        self.voice.say(words)

    def hear_mouse(self, *, listening: bool = False) -> None:
        """Takes the buttons of the mouse as keys where an action has one of them, or while something is `listening`."""
        chosen = any(key in MOUSE for keys in self.settings.keys.values() for key in keys)
        if isinstance(self._driver, TerminalDriver):
            self._driver.hear_mouse(hear=chosen or listening)

    def change_settings(self, change: Callable[[Settings], Settings]) -> None:
        """Changes the settings and saves them. Starts from the saved ones: another window may have changed them.

        Raises StoreError, and changes nothing, when they cannot be read or written.
        """
        listen = self.settings.listen
        settings = change_settings(places.settings_file(), change)
        self.settings = self.voice.settings = settings
        self.hear_mouse()
        if settings.listen != listen:
            self._listen()

    def check_design_file(self, piece: int) -> OpenedPiece:
        """The piece, compared with its design file as it is now."""
        return openings.resume_listed(self.kept, self.kept.pieces.get(piece))

    def open_choice(self, piece: Piece | None, file: str, newest: int) -> None:
        """Opens a piece from the list, or starts one on a design; the list shows why if that fails.

        `newest` is the newest piece in the list.
        """
        try:
            if piece is None:
                begun = openings.begin(self.kept, load(file), openings.NO_OPTIONS, newest)
                self.open(begun._replace(lays_out=True))
            else:
                self.open(openings.open_listed(self.kept, piece))
        except (BadFile, StoreError) as error:
            self._say(str(error))

    def open(self, opening: OpenedPiece, new_way: Way | None = None, new_length: UpdatedDesign | None = None) -> None:
        """Opens a piece, after a question where it does not match what was asked for.

        May change its way of working, or its length.
        """
        if opening.mismatch:
            texts = [f"Your unfinished piece is {opening.mismatch}."]
            settled, asked_way = opening._replace(mismatch=None), opening.other_way
            answers: list[Answer[Callback]] = [Answer(CONTINUE, "continue it as it is", lambda: self.open(settled))]
            if asked_way is not None:
                says = f"continue it {asked_way.words}"
                answers.append(Answer("o", says, lambda: self.open(settled, asked_way)))
            length = length_asked_for(opening)
            if length is not None:
                says = f"continue it with {counted(length.copy.repeats, 'repeat')}; what is tied stays tied"
                answers.append(Answer("m", says, lambda: self.open(settled, None, length)))
            if opening.file is not None:
                says = "begin a new piece the way you asked; keep this one"
                answers.append(Answer(NEW, says, lambda: self._start_that_way(opening)))
            answers.append(Answer(LEAVE, "leave", self.leave_piece))
            self.push_screen(Question(self, "WHICH", texts, answers), act)
            return
        try:
            opening.held.hold()
            if new_way is not None:
                opening.held.change_way(new_way.by, from_right=new_way.from_right)
            if new_length is not None:
                opening.held.change_design(*new_length)
        except NotPossible:
            # Another window has tied more since.
            self._show(opening, "The length stays as it was: more is tied now.")
        except TakenOver:
            self._ask_take_over(opening)
        except StoreError as error:
            self._cannot_open(error)
        else:
            self._show(opening)

    def _cannot_open(self, error: StoreError) -> None:
        if self._home is not None:
            self._home.say(str(error))
        else:
            self.exit(return_code=BAD_STORE, message=Text(f"benchmate: {shown(str(error))}"))

    def _start_that_way(self, opening: OpenedPiece) -> None:
        try:
            self.start_new(opening)
        except StoreError as error:
            self._cannot_open(error)

    def start_new(self, opening: OpenedPiece) -> None:
        """Starts a new piece on the design file as it is now, the way it was asked for. Raises StoreError."""
        assert opening.file is not None
        self._open_instead(openings.begin(self.kept, opening.file, opening.options, None))

    def restart_as(self, opening: OpenedPiece, options: WorkingOptions) -> None:
        """Works the open piece, of which nothing is tied, another way. Raises StoreError and TakenOver."""
        self._open_instead(openings.worked_another_way(opening, options))

    def _open_instead(self, opening: OpenedPiece) -> None:
        self.leave_piece(stay=True)
        self.open(opening)

    def open_design(self, file: str, rows: int = 0) -> None:
        """Leaves the open piece, and follows the design in `file`. Raises BadFile and StoreError.

        A new piece counts its first `rows` rows as tied: a lesson has made them.
        """
        opening = openings.follow(self.kept, file, openings.NO_OPTIONS, new=False)
        is_new = not opening.resumed
        self._open_instead(opening)
        if rows and is_new and self._bench is not None:
            self._bench.count_rows(rows)

    def open_started_elsewhere(self, piece: int) -> None:
        """Opens the piece that another window has since started from the same file. Raises StoreError."""
        self._open_instead(openings.resume_listed(self.kept, self.kept.pieces.get(piece)))

    def _ask_take_over(self, opening: OpenedPiece) -> None:
        texts = [f"{opening.held.title} is open in another window."]
        answers: list[Answer[Callback]] = [
            Answer(LOOK_ON, "open it here read-only", lambda: self._show(opening)),
            Answer(TAKE_OVER, "take over here; the other window becomes read-only", lambda: self._take_over(opening)),
            Answer(LEAVE, "leave", self.leave_piece),
        ]
        self.push_screen(Question(self, "OPEN ELSEWHERE", texts, answers), act)

    def _take_over(self, opening: OpenedPiece) -> None:
        try:
            opening.held.hold(force=True)
        except StoreError as error:
            self._cannot_open(error)
        else:
            self._show(opening)

    def _show(self, opening: OpenedPiece, notice: str = "") -> None:
        self._bench = StepScreen(self, self.voice, opening)
        self._bench.notice = " ".join(filter(None, (notice, opening.says)))
        self.push_screen(self._bench)

    @property
    def open_piece(self) -> OpenPiece | None:
        """The piece on the screen now."""
        return None if self._bench is None else self._bench.held

    def leave_lost(self, error: StoreError) -> None:
        """Ends the program, because the piece can no longer be saved where it was; `error` says what became of it."""
        self.lost = error
        self.exit(BAD_STORE)

    def leave_piece(self, *, stay: bool = False) -> None:
        """Leaves the piece: back to the list, or out of a program opened on the piece; with `stay`, neither."""
        bench, self._bench = self._bench, None
        self.voice.hush()
        if bench is not None:
            self.left = bench.held
            bench.held.let_go()
            if bench in self.screen_stack:
                self.pop_screen()
        if stay:
            return
        if self._home is None:
            self.exit(0)
        else:
            self._home.reload()
            if bench is not None and bench.held.progress.finished:
                self._home.say(f"{bench.held.title} is finished: it is at the end of the list.")
            self._home.show()
