"""The voice as the bench uses it: prompts are handed over and never waited for."""

from collections.abc import Callable
from functools import partial

from benchmate.speech.manager import Manager, Manner, Prompt
from benchmate.speech.voices import Voice

CLOSING = 5.0
"""Seconds after which a system that does not let go of a process is left to itself."""
USUAL = Manner()


class Speaker:
    """One voice. Whatever is new cuts off what is being said; of a burst only the last is spoken.

    No call but `close` waits for anything, and none raises. Nothing runs before it is first needed. All calls come from
    one thread. What is handed over to be called back is called in another, and must neither wait nor raise.
    """

    def __init__(self, report: Callable[[str], None]) -> None:
        """`report` is called with a line for people that says why nothing can be spoken: once, and then there is
        silence until the voice is switched on again. It is called, too, when a wished voice is not there.
        """
        self._report = report
        self._manager: Manager | None = None
        self._number = 0
        self._closed = self._told = False

    @property
    def speaking(self) -> bool:
        """True while something is being said, or is about to be."""
        return not self._closed and self._manager is not None and self._manager.ended < self._number

    @property
    def failed(self) -> bool:
        """True while there is silence because of what was reported."""
        return self._manager is not None and self._manager.failed

    def on(self) -> None:
        """Gets ready to speak, and tries anew what failed before."""
        if (manager := self._get()) is not None:
            manager.post(manager.on)

    def off(self) -> None:
        """Silence, and nothing kept ready. It may be switched on again, and the next prompt does so too."""
        if self._manager is not None:
            self._manager.post(partial(self._manager.hush, self._number))
            self._manager.post(self._manager.off)

    def say(self, text: str, manner: Manner = USUAL, tick: float | None = None) -> None:
        """Says `text`, whatever is in it: cleaned, it is spoken as words. A tick of that loudness (0 to 1) leads it.

        Without any words in it, it only cuts off what was being said.
        """
        if (manager := self._get()) is not None:
            self._number += 1
            manager.post(partial(manager.say, Prompt(self._number, text, tick, manner)))

    def tick(self, loudness: float = 1.0) -> None:
        """A soft short sound in place of words; it too cuts off what is being said. It needs no engine."""
        self.say("", tick=loudness)

    def hush(self) -> None:
        """Cuts off what is being said."""
        if self._manager is not None:
            self._manager.post(partial(self._manager.hush, self._number))

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Has `answer` called with all voices of this machine; when that fails it is reported instead.

        Switching off before that means that nobody wants to know any more.
        """
        if (manager := self._get()) is not None:
            manager.post(partial(manager.list_voices, answer))

    def close(self) -> None:
        """Ends it all: no process and no file is left. May be repeated; what is said afterwards is not heard."""
        self._closed = True
        if self._manager is not None:
            self._manager.post(self._manager.close)
            self._manager.join(CLOSING)

    def _get(self) -> Manager | None:
        if self._manager is None and not self._closed:
            try:
                self._manager = Manager(self._report)
            # No thread can be started any more: the next prompt may find that there can.
            except RuntimeError as error:
                if not self._told:
                    self._told = True
                    self._report(f"The voice does not work: {error}.")
        return None if self._closed else self._manager
