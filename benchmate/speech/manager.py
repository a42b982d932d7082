"""What goes on behind the voice, in a thread of its own: one helper speaks, a warm spare waits for the next prompt."""

import queue
import threading
import time
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

from benchmate.speech.folders import Folder
from benchmate.speech.process import Helper
from benchmate.speech.text import cleaned
from benchmate.speech.voices import Voice

BURST = 0.1
"""Seconds: a prompt that follows another sooner than that is one of a burst."""
QUIET = 0.06
"""Seconds without a further prompt after which the last of a burst is spoken."""
MISHAPS = 4
"""How many helpers in a row may come to nothing, for no reason they could tell, before that counts as a failure."""
LONGEST_NAME = 60
"""The most characters of a voice's or a language's name that are looked for."""
GAVE_OUT = f"Speech ended by itself or hung, {MISHAPS} times in a row"

LOOKING = 0.2
"""Seconds between looks whether a helper that is waited for has been stopped."""
STARTING = 15.0
"""Seconds after which a helper that is not ready counts as hung."""
ANSWERING = 4.0
"""Seconds after which one that has been given its task and has not begun does."""
LATE = (1.5, 5.0)
"""What is spoken may take so many times its length, and so many seconds, before its helper does."""
ENDLESS = 120.0
"""Seconds of speech that are allowed for where nobody can tell its length."""


class Manner(NamedTuple):
    """How to speak: words a minute (80 to 450), loudness (0 to 1), a voice by its id or else one for the language."""

    rate: int = 175
    volume: float = 1.0
    voice: str | None = None
    language: str = "en"


class Prompt(NamedTuple):
    """Something to be heard: words, or a tick of some loudness, or the one after the other; numbered as they come."""

    number: int
    text: str
    tick: float | None
    manner: Manner


class Manager:
    """Has prompts spoken. Every method but `post` and `join` runs in the manager's own thread."""

    def __init__(self, report: Callable[[str], None]) -> None:
        self.failed = False
        """True when there is silence because of what was reported."""
        self.ended = 0
        """The number of the last prompt that will not be heard any further."""
        self._report = report
        self._reported: set[str] = set()
        self._orders: queue.SimpleQueue[Callable[[], None]] = queue.SimpleQueue()
        self._folder: Folder | None = None
        self._helpers: set[Helper] = set()
        self._spare: Helper | None = None
        self._keeps_spare = False
        self._speaking: Helper | None = None
        self._spoken: Prompt | None = None
        self._begun = False
        self._waiting: Prompt | None = None
        self._last_prompt = self._quiet_from = -BURST
        self._asked: list[Callable[[list[Voice]], None]] = []
        self._lister: Helper | None = None
        self._mishaps = 0
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="voice", daemon=True)
        self._thread.start()

    def post(self, order: Callable[[], None]) -> None:
        """Has one of the methods below called soon."""
        self._orders.put(order)

    def join(self, seconds: float) -> None:
        """Waits until it is closed, and not longer than that."""
        self._thread.join(seconds)

    # What is ordered

    def on(self) -> None:
        """Forgets what failed, and has a spare ready."""
        self.failed = False
        self._mishaps = 0
        self._reported.clear()
        self._keeps_spare = True

    def off(self) -> None:
        """Silence, and no process left."""
        self._keeps_spare = False
        self._end_all()

    def say(self, prompt: Prompt) -> None:
        """Cuts off what is being said; the prompt is spoken unless another follows at once."""
        self._cut()
        if self.failed:
            self.ended = prompt.number
            return
        now = time.monotonic()
        self._quiet_from = now + QUIET if now - self._last_prompt < BURST else now
        self._last_prompt = now
        prompt = prompt._replace(text=cleaned(prompt.text))
        if prompt.text or prompt.tick is not None:
            self._waiting = prompt
            self._keeps_spare = True
        else:
            self.ended = prompt.number

    def hush(self, number: int) -> None:
        """Cuts off whatever there is, up to the prompt of that number."""
        self._cut()
        self.ended = number

    def list_voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Has `answer` called with the voices of this machine; not when that fails, which is reported."""
        if not self.failed:
            self._asked.append(answer)

    def close(self) -> None:
        """Ends it all."""
        self._closed = True

    # The thread

    def _run(self) -> None:
        while not self._closed:
            try:
                self._step()
            # Nothing that goes wrong here may reach the work, nor be kept from people.
            except Exception as error:
                self._fail(f"The voice does not work: {type(error).__name__}, {error}.")
        self._end_all()
        for helper in self._helpers:
            helper.bury()
        if self._folder is not None:
            self._folder.remove()

    def _step(self) -> None:
        self._next()()
        # What has come meanwhile may have overtaken it.
        while not self._orders.empty():
            self._orders.get()()
        self._end_the_hung()
        if not self.failed and not self._closed:
            self._go_on()

    def _next(self) -> Callable[[], None]:
        moments = [helper.deadline for helper in self._helpers if helper.deadline is not None]
        if self._waiting is not None and self._spare is not None and self._spare.ready:
            moments.append(self._quiet_from)
        now = time.monotonic()
        if self._awaited():
            moments.append(now + LOOKING)
        try:
            return self._orders.get(timeout=max(0.0, min(moments) - now) if moments else None)
        except queue.Empty:
            return lambda: None

    def _awaited(self) -> list[Helper]:
        """The helpers that somebody is waiting for just now."""
        found = [self._spare if self._waiting is not None or self._asked else None, self._lister]
        if not self._begun:
            found.append(self._speaking)
        return [helper for helper in found if helper is not None]

    def _end_the_hung(self) -> None:
        now = time.monotonic()
        for helper in self._helpers:
            if helper.deadline is not None and helper.deadline <= now:
                helper.deadline = None
                helper.kill()
        for helper in self._awaited():
            if helper.stands_still:
                helper.kill()

    def _go_on(self) -> None:
        try:
            if self._asked and self._lister is None and (helper := self._ready_spare()) is not None:
                self._lister = helper
                self._give(helper, {"voices": True})
            if self._waiting is not None and time.monotonic() >= self._quiet_from:
                helper = self._ready_spare()
                if helper is not None:
                    self._speak(helper, self._waiting)
            # A process that starts takes time from one that is just about to speak.
            if self._keeps_spare and self._spare is None and (self._speaking is None or self._begun):
                self._start_spare()
        except OSError as error:
            self._fail(f"No process can be started for the voice: {error.strerror}.")

    def _ready_spare(self) -> Helper | None:
        """The spare, which is then none any more; while there is no ready one, it is got ready."""
        if self._spare is None:
            self._start_spare()
        elif self._spare.ready:
            helper, self._spare = self._spare, None
            return helper
        return None

    def _start_spare(self) -> None:
        # Long-running systems clear up what they take for forgotten.
        if self._folder is not None and not self._folder.path.exists():
            self._folder.remove()
            self._folder = None
        if self._folder is None:
            self._folder = Folder()
        self._spare = Helper(self._folder.path, lambda helper, event: self.post(partial(self._hear, helper, event)))
        self._spare.deadline = time.monotonic() + STARTING
        self._helpers.add(self._spare)

    def _speak(self, helper: Helper, prompt: Prompt) -> None:
        self._speaking, self._spoken, self._begun, self._waiting = helper, prompt, False, None
        manner = prompt.manner
        voice = None if manner.voice is None else manner.voice[:LONGEST_NAME]
        manner = manner._replace(voice=voice, language=manner.language[:LONGEST_NAME])
        self._give(helper, {"say": prompt.text, "tick": prompt.tick, **manner._asdict()})

    def _give(self, helper: Helper, task: dict[str, Any]) -> None:
        helper.deadline = time.monotonic() + ANSWERING
        helper.give(task)

    def _cut(self) -> None:
        self._waiting = None
        if self._speaking is not None:
            self._dismiss(self._speaking)
            self._speaking = None

    def _dismiss(self, helper: Helper) -> None:
        helper.dismissed, helper.deadline = True, None
        helper.kill()

    def _end_all(self) -> None:
        for helper in self._helpers:
            self._dismiss(helper)
        self._spare = self._speaking = self._lister = self._waiting = None
        self._asked.clear()

    # What helpers tell

    def _hear(self, helper: Helper, event: dict[str, Any] | None) -> None:
        if event is None:
            self._bury(helper)
        elif not helper.dismissed:
            self._take(helper, event)

    def _take(self, helper: Helper, event: dict[str, Any]) -> None:
        kind = event["event"]
        if kind == "ready":
            helper.ready, helper.deadline = True, None
        elif kind == "missing":
            self._tell_once(event["what"])
        elif kind == "began":
            self._begun = True
            seconds = ENDLESS if event["seconds"] is None else event["seconds"]
            helper.deadline = time.monotonic() + LATE[0] * seconds + LATE[1]
        else:
            helper.dismissed, helper.deadline = True, None
            self._end(helper, event)

    def _end(self, helper: Helper, event: dict[str, Any]) -> None:
        if event["event"] == "failed":
            if event["lasting"]:
                self._fail(event["why"])
            else:
                self._come_to_nothing(helper, event["why"])
            return
        self._mishaps = 0
        if helper is self._speaking:
            self._forget_spoken()
        elif helper is self._lister:
            self._lister = None
            voices = [Voice(each[0], each[1], tuple(each[2])) for each in event["voices"]]
            for answer in self._asked:
                answer(voices)
            self._asked.clear()

    def _forget_spoken(self) -> None:
        if self._spoken is not None:
            self.ended = max(self.ended, self._spoken.number)
        self._speaking = self._spoken = None

    def _bury(self, helper: Helper) -> None:
        said = "" if helper.dismissed else helper.last_words()
        helper.bury()
        self._helpers.discard(helper)
        if not helper.dismissed:
            self._come_to_nothing(helper, f"{GAVE_OUT}: {said}." if said else f"{GAVE_OUT}.")

    def _come_to_nothing(self, helper: Helper, why: str) -> None:
        self._mishaps += 1
        if self._mishaps >= MISHAPS:
            self._fail(why)
        elif helper is self._spare:
            self._spare = None
        elif helper is self._lister:
            self._lister = None
        elif helper is self._speaking:
            # Nobody has heard it yet, and nothing newer has come.
            if not self._begun:
                self._waiting = self._spoken
                self._speaking = self._spoken = None
            else:
                self._forget_spoken()

    def _fail(self, why: str) -> None:
        self.failed = True
        for prompt in (self._spoken, self._waiting):
            if prompt is not None:
                self.ended = max(self.ended, prompt.number)
        self._end_all()
        self._tell_once(why)

    def _tell_once(self, words: str) -> None:
        if words not in self._reported:
            self._reported.add(words)
            self._report(words)
