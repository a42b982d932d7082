"""The voice as the bench uses it: it takes prompts without ever making the bench wait."""

from collections.abc import Callable
from functools import partial

from benchmate.speech.manager import Manager, Prompt, SpeechOptions
from benchmate.speech.sounds import Sounds
from benchmate.speech.voices import Voice

CLOSING = 5.0
"""The most seconds that closing waits for the helpers to end."""
USUAL = SpeechOptions()


class Speaker:
    """One voice. A new prompt cuts off the current one; of a burst, only the last is spoken.

    No call but `close` waits, and none raises. Nothing runs before it is needed. Call every method from the same
    thread. Callbacks run in another thread and must neither wait nor raise.
    """

    def __init__(self, report: Callable[[str], None]) -> None:
        """`report` is called with a message when speech fails: once, then the voice is silent until it is switched on
        again. It is also called when the chosen voice is missing.
        """
        self._report = report
        self._manager: Manager | None = None
        self._number = 0
        self._closed = self._reported = False

    @property
    def speaking(self) -> bool:
        """True while a prompt is being spoken or is about to be."""
        return not self._closed and self._manager is not None and self._manager.ended < self._number

    @property
    def quiet_since(self) -> float | None:
        """When the last prompt ended, by the monotonic clock; None while one is spoken or about to be.

        Minus infinity when there was none.
        """
        manager = self._manager
        if manager is None:
            return float("-inf")
        return None if self.speaking else manager.quiet_since

    @property
    def failed(self) -> bool:
        """True while the voice is silent because of a reported failure."""
        return self._manager is not None and self._manager.failed

    def on(self) -> None:
        """Gets ready to speak, also after a failure."""
        if (manager := self._get()) is not None:
            manager.post(manager.on)

    def off(self) -> None:
        """Stops speaking and keeps nothing ready. `on` or the next prompt switches the voice on again."""
        if self._manager is not None:
            self._manager.post(partial(self._manager.hush, self._number))
            self._manager.post(self._manager.off)

    def say(self, text: str, options: SpeechOptions = USUAL, sounds: Sounds | None = None) -> None:
        """Speaks `text`, cleaned of anything but words, after the `sounds` if any are given.

        Sounds alone need no engine. A text without words or sounds only cuts off the current prompt.
        """
        if (manager := self._get()) is not None:
            self._number += 1
            manager.post(partial(manager.say, Prompt(self._number, text, sounds, options)))

    def hush(self) -> None:
        """Cuts off the current prompt."""
        if self._manager is not None:
            self._manager.post(partial(self._manager.hush, self._number))

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Calls `answer` with all voices of this machine; a failure is reported instead.

        Switching the voice off cancels this.
        """
        if (manager := self._get()) is not None:
            manager.post(partial(manager.list_voices, answer))

    def close(self) -> None:
        """Ends the voice and leaves no process and no file. May be repeated; later prompts are ignored."""
        self._closed = True
        if self._manager is not None:
            self._manager.post(self._manager.close)
            self._manager.join(CLOSING)

    def _get(self) -> Manager | None:
        if self._manager is None and not self._closed:
            try:
                self._manager = Manager(self._report)
            # The system has no thread to spare; it may have one at the next prompt.
            except RuntimeError as error:
                if not self._reported:
                    self._reported = True
                    self._report(f"The voice does not work: {error}.")
        return None if self._closed else self._manager
