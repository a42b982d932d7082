"""The voice's own thread: one helper process speaks while a spare one, already started, waits for the next prompt."""

import queue
import threading
import time
from base64 import b64encode
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

from benchmate.speech.folders import Folder
from benchmate.speech.process import Helper
from benchmate.speech.sounds import Sounds, samples
from benchmate.speech.text import cleaned
from benchmate.speech.voices import Voice

BURST = 0.1
"""Seconds. A prompt that follows another sooner than this belongs to a burst."""
QUIET = 0.06
"""Seconds without another prompt before the last of a burst is spoken."""
MOST_CRASHES = 4
"""This many helpers in a row that crash or hang count as a failure of speech."""
LONGEST_NAME = 60
"""Only so many characters of a voice's id or a language are looked up."""
CRASHED = f"Speech crashed or hung {MOST_CRASHES} times in a row"

STOP_CHECK = 0.2
"""Seconds between checks whether an awaited helper has been stopped."""
START_LIMIT = 15.0
"""Seconds a helper may take to get ready before it counts as hung."""
ANSWER_LIMIT = 4.0
"""Seconds a helper may take from receiving its task to beginning it before it counts as hung."""
LATE_FACTOR, LATE_SECONDS = 1.5, 5.0
"""A helper counts as hung when its speech takes this many times its length plus this many seconds."""
UNKNOWN_LENGTH = 120.0
"""Seconds allowed for speech of unknown length."""
LATE, VERY_LATE = 1.0, 2.0
"""Seconds that a prompt may begin or end late without a sign of trouble; and the most that count of one prompt."""
MOST_LATE = 6.0
"""Prompts cut off that were late by so many seconds, all together with none between that ended, count as a failure."""
HANGS = "Speech hangs: prompts that had time enough did not end. Is there a sound card, and does it work?"


class SpeechOptions(NamedTuple):
    """How to speak: words a minute (80 to 450), volume (0 to 1), a voice by its id, or else one for the language."""

    rate: int = 175
    volume: float = 1.0
    voice: str | None = None
    language: str = "en"


class Prompt(NamedTuple):
    """Something to play: text, sounds, or sounds and then text. Prompts are numbered in order."""

    number: int
    text: str
    sounds: Sounds | None
    options: SpeechOptions


class Manager:
    """Speaks prompts. Every method but `post` and `join` runs in the manager's own thread."""

    def __init__(self, report: Callable[[str], None]) -> None:
        self.failed = False
        """True while the voice is silent because of a reported failure."""
        self.ended = 0
        """The number of the last prompt that has ended or was cut off."""
        self.quiet_since = float("-inf")
        """When it ended, by the monotonic clock."""
        self._sounds_work = False
        self._report = report
        self._reported: set[str] = set()
        self._calls: queue.SimpleQueue[Callable[[], None]] = queue.SimpleQueue()
        self._folder: Folder | None = None
        self._helpers: set[Helper] = set()
        self._spare: Helper | None = None
        self._keeps_spare = False
        self._speaking: Helper | None = None
        self._spoken: Prompt | None = None
        self._begun = False
        self._waiting: Prompt | None = None
        self._last_prompt = self._quiet_from = -BURST
        self._voice_requests: list[Callable[[list[Voice]], None]] = []
        self._lister: Helper | None = None
        self._crashes = 0
        self._late = 0.0
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="voice", daemon=True)
        self._thread.start()

    def post(self, call: Callable[[], None]) -> None:
        """Has the manager's thread call one of the methods below soon."""
        self._calls.put(call)

    def join(self, seconds: float) -> None:
        """Waits until the manager has closed, at most this long."""
        self._thread.join(seconds)

    # The methods to post

    def on(self) -> None:
        """Forgets earlier failures, and starts a spare."""
        self.failed = False
        self._crashes = 0
        self._late = 0.0
        self._reported.clear()
        self._keeps_spare = True

    def off(self) -> None:
        """Stops speaking and ends every helper."""
        self._keeps_spare = False
        self._end_all()

    def say(self, prompt: Prompt) -> None:
        """Cuts off the current prompt; speaks this one unless another follows at once."""
        self._cut()
        if self.failed:
            # Where only words fail, sounds go on.
            prompt = prompt._replace(text="") if self._sounds_work else prompt._replace(text="", sounds=None)
        now = time.monotonic()
        self._quiet_from = now + QUIET if now - self._last_prompt < BURST else now
        self._last_prompt = now
        prompt = prompt._replace(text=cleaned(prompt.text))
        if prompt.text or prompt.sounds is not None:
            self._waiting = prompt
            self._keeps_spare = True
        else:
            self._mark_ended(prompt.number)

    def hush(self, number: int) -> None:
        """Cuts off every prompt up to that number."""
        self._cut()
        self._mark_ended(number)

    def list_voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Calls `answer` with the voices of this machine; a failure is reported instead."""
        if not self.failed:
            self._voice_requests.append(answer)

    def close(self) -> None:
        """Ends the thread and every helper."""
        self._closed = True

    # The thread

    def _run(self) -> None:
        while not self._closed:
            try:
                self._step()
            # No error here may stop the work, and none may go unreported.
            except Exception as error:
                self._fail(f"The voice does not work: {type(error).__name__}, {error}.")
        self._end_all()
        for helper in self._helpers:
            helper.clean_up()
        if self._folder is not None:
            self._folder.remove()

    def _step(self) -> None:
        self._next_call()()
        # Calls that have come since may make it out of date.
        while not self._calls.empty():
            self._calls.get()()
        self._kill_the_hung()
        if (not self.failed or self._sounds_work) and not self._closed:
            self._start_what_is_due()

    def _next_call(self) -> Callable[[], None]:
        wake_times = [helper.deadline for helper in self._helpers if helper.deadline is not None]
        if self._waiting is not None and self._spare is not None and self._spare.ready:
            wake_times.append(self._quiet_from)
        now = time.monotonic()
        if self._awaited():
            wake_times.append(now + STOP_CHECK)
        try:
            return self._calls.get(timeout=max(0.0, min(wake_times) - now) if wake_times else None)
        except queue.Empty:
            return lambda: None

    def _awaited(self) -> list[Helper]:
        """The helpers that a prompt or a request is waiting for."""
        found = [self._spare if self._waiting is not None or self._voice_requests else None, self._lister]
        if not self._begun:
            found.append(self._speaking)
        return [helper for helper in found if helper is not None]

    def _kill_the_hung(self) -> None:
        now = time.monotonic()
        for helper in self._helpers:
            if helper.deadline is not None and helper.deadline <= now:
                helper.deadline = None
                helper.kill()
        for helper in self._awaited():
            if helper.is_stopped:
                helper.kill()

    def _start_what_is_due(self) -> None:
        try:
            if self._voice_requests and self._lister is None and (helper := self._ready_spare()) is not None:
                self._lister = helper
                self._send(helper, {"voices": True})
            if self._waiting is not None and time.monotonic() >= self._quiet_from:
                helper = self._ready_spare()
                if helper is not None:
                    self._speak(helper, self._waiting)
            # Starting a process would slow down one that is about to speak.
            if self._keeps_spare and self._spare is None and (self._speaking is None or self._begun):
                self._start_spare()
        except OSError as error:
            self._fail(f"No process can be started for the voice: {error.strerror}.")

    def _ready_spare(self) -> Helper | None:
        """Takes the spare if it is ready; starts one if there is none."""
        if self._spare is None:
            self._start_spare()
        elif self._spare.ready:
            helper, self._spare = self._spare, None
            return helper
        return None

    def _start_spare(self) -> None:
        # Some systems delete old temporary files while a program is running.
        if self._folder is not None and not self._folder.path.exists():
            self._folder.remove()
            self._folder = None
        if self._folder is None:
            self._folder = Folder()
        self._spare = Helper(self._folder.path, lambda helper, event: self.post(partial(self._on_event, helper, event)))
        self._spare.deadline = time.monotonic() + START_LIMIT
        self._helpers.add(self._spare)

    def _speak(self, helper: Helper, prompt: Prompt) -> None:
        self._speaking, self._spoken, self._begun, self._waiting = helper, prompt, False, None
        options = prompt.options
        voice = None if options.voice is None else options.voice[:LONGEST_NAME]
        options = options._replace(voice=voice, language=options.language[:LONGEST_NAME])
        # Made here, once for all prompts: a helper would remake them for each.
        lead = b"" if prompt.sounds is None else samples(prompt.sounds, options.volume)
        self._send(helper, {"say": prompt.text, "lead": b64encode(lead).decode(), **options._asdict()})

    def _send(self, helper: Helper, task: dict[str, Any]) -> None:
        helper.due = time.monotonic()
        helper.deadline = helper.due + ANSWER_LIMIT
        helper.send(task)

    def _cut(self) -> None:
        self._waiting = None
        if self._speaking is not None:
            late = time.monotonic() - self._speaking.due
            self._dismiss(self._speaking)
            self._speaking = None
            self._count_late(late)

    def _mark_ended(self, number: int) -> None:
        if number > self.ended:
            # In this order, because others read them in their own threads.
            self.quiet_since = time.monotonic()
            self.ended = number

    def _count_late(self, late: float) -> None:
        """Counts a prompt cut off that should have begun or ended so many seconds before; negative if it had time left.

        While presses keep coming, no prompt ever plays until its deadline. Only those that had enough time for all they
        say tell a voice that hangs from hands that are fast. One alone may have been late because this program was
        stopped meanwhile.
        """
        if late > LATE:
            self._late += min(late, VERY_LATE)
            if self._late >= MOST_LATE:
                self._fail(HANGS)

    def _dismiss(self, helper: Helper) -> None:
        helper.dismissed, helper.deadline = True, None
        helper.kill()

    def _end_all(self) -> None:
        for helper in self._helpers:
            self._dismiss(helper)
        self._spare = self._speaking = self._lister = self._waiting = None
        self._voice_requests.clear()

    # Events of helpers

    def _on_event(self, helper: Helper, event: dict[str, Any] | None) -> None:
        if event is None:
            self._clean_up(helper)
        elif not helper.dismissed:
            self._handle(helper, event)

    def _handle(self, helper: Helper, event: dict[str, Any]) -> None:
        kind = event["event"]
        if kind == "ready":
            helper.ready, helper.deadline = True, None
        elif kind == "missing":
            self._report_once(event["what"])
        elif kind == "began":
            self._begun = True
            seconds = UNKNOWN_LENGTH if event["seconds"] is None else event["seconds"]
            helper.due = time.monotonic() + seconds
            helper.deadline = time.monotonic() + LATE_FACTOR * seconds + LATE_SECONDS
        else:
            helper.dismissed, helper.deadline = True, None
            self._end(helper, event)

    def _end(self, helper: Helper, event: dict[str, Any]) -> None:
        if event["event"] == "failed":
            if event["lasting"]:
                self._fail(event["why"], sounds_work=event["sounds"])
            else:
                self._count_crash(helper, event["why"])
            return
        self._crashes = 0
        self._late = 0.0
        if helper is self._speaking:
            self._forget_spoken()
        elif helper is self._lister:
            self._lister = None
            voices = [Voice(each[0], each[1], tuple(each[2])) for each in event["voices"]]
            for answer in self._voice_requests:
                answer(voices)
            self._voice_requests.clear()

    def _forget_spoken(self) -> None:
        if self._spoken is not None:
            self._mark_ended(self._spoken.number)
        self._speaking = self._spoken = None

    def _clean_up(self, helper: Helper) -> None:
        last_error = "" if helper.dismissed else helper.last_error()
        helper.clean_up()
        self._helpers.discard(helper)
        if not helper.dismissed:
            self._count_crash(helper, f"{CRASHED}: {last_error}." if last_error else f"{CRASHED}.")

    def _count_crash(self, helper: Helper, why: str) -> None:
        self._crashes += 1
        if self._crashes >= MOST_CRASHES:
            self._fail(why)
        elif helper is self._spare:
            self._spare = None
        elif helper is self._lister:
            self._lister = None
        elif helper is self._speaking:
            # Nothing of it was heard and no newer prompt has come, so it is spoken again.
            if not self._begun:
                self._waiting = self._spoken
                self._speaking = self._spoken = None
            else:
                self._forget_spoken()

    def _fail(self, why: str, *, sounds_work: bool = False) -> None:
        """Falls silent; with `sounds_work`, only words do."""
        self.failed, self._sounds_work, self._keeps_spare = True, sounds_work, False
        # In this order, so that who waits for the end of a prompt finds what went wrong reported.
        self._report_once(why)
        for prompt in (self._spoken, self._waiting):
            if prompt is not None:
                self._mark_ended(prompt.number)
        self._end_all()

    def _report_once(self, message: str) -> None:
        if message not in self._reported:
            self._reported.add(message)
            self._report(message)
