"""The speech engine of this machine, through pyttsx3. Loaded only in a helper process, because it can't be trusted.

An engine may print, hang, kill its process, or report speech that it never made. Callers must be ready for all of
these, and use an engine for one utterance only.
"""

import ctypes
import os
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from benchmate.speech.voices import Voice, matching

NO_ENGINE = "No speech engine found. See `benchmate help voice`."
NO_BINDING = "The package pyttsx3 is missing. Run `pip install pyttsx3`."
LIBRARY = "libespeak-ng.so.1"
DATA = "espeak-ng-data"
TO_FILE = sys.platform not in ("darwin", "win32")
"""True where speech is written to a file and played from there: the only way to learn whether it worked."""


class NoVoice(Exception):
    """The engine cannot be used; the message tells the user why."""


class Engine:
    """The engine, ready to speak once."""

    def __init__(self) -> None:
        """Raises NoVoice when there is none. The current folder must belong to this process alone."""
        if TO_FILE:
            _make_available()
        try:
            import pyttsx3
        except ImportError as error:
            raise NoVoice(NO_BINDING) from error
        try:
            self._engine: Any = pyttsx3.init()
            self.voices = [_voice(each) for each in self._engine.getProperty("voices")]
            self._usual = self._engine.getProperty("voice")
        # Drivers raise whatever their system raises. Any error here means that the engine cannot speak.
        except Exception as error:
            print(f"{type(error).__name__}: {error}", file=sys.stderr)
            raise NoVoice(NO_ENGINE) from error
        self._ended = threading.Event()
        self._fault: str | None = None
        self._engine.connect("finished-utterance", self._on_finished)
        self._engine.connect("error", self._on_error)
        # Errors in the engine's own thread are reported nowhere else.
        sys.unraisablehook = lambda raised: self._on_error(None, raised.exc_value)

    def voice_for(self, voice: str | None, language: str) -> Voice | None:
        """The voice with that id, otherwise the nearest one for the language; None when there is neither."""
        known = next((each for each in self.voices if each.id == voice), None)
        if known is not None:
            return known
        found = matching(self.voices, language)
        usual = next((each for each in found if each.id == self._usual), None)
        return usual or next(iter(found), None)

    def set(self, rate: int, volume: float, voice: Voice | None) -> None:
        """Sets words a minute, volume from 0 to 1, and one of `voices` (an unknown id can kill the process)."""
        if voice is not None and voice.id != self._usual:
            self._engine.setProperty("voice", voice.id)
        self._engine.setProperty("rate", rate)
        self._engine.setProperty("volume", volume)

    def write(self, text: str, file: Path) -> None:
        """Writes speech to a WAV file. Raises NoVoice."""
        self._run(lambda: self._engine.save_to_file(text, str(file)))
        if not file.exists():
            raise NoVoice(f"The speech engine made no sound for {len(text)} characters.")

    def say(self, text: str, began: Callable[[], None]) -> None:
        """Speaks to the end. Raises NoVoice."""
        self._engine.connect("started-utterance", lambda name: began())
        self._run(lambda: self._engine.say(text))

    def _run(self, order: Callable[[], object]) -> None:
        order()
        if TO_FILE:
            # `runAndWait` can cancel the rate and volume just set while the engine is still applying them.
            # In a thread, because this call sleeps before it notices the end.
            threading.Thread(target=self._engine.startLoop, daemon=True).start()
        else:
            self._engine.runAndWait()
        # Only the event marks the end; the call may return earlier.
        self._ended.wait()
        if self._fault is not None:
            raise NoVoice(f"The speech engine failed: {self._fault}.")

    def _on_finished(self, name: object, completed: bool) -> None:
        self._ended.set()

    def _on_error(self, name: object, exception: BaseException | None) -> None:
        # The first error says most; later ones follow from it.
        self._fault = self._fault or str(exception).rstrip(".")[:160]
        self._ended.set()


def _voice(found: Any) -> Voice:
    languages = (each.decode("utf-8", "replace") if isinstance(each, bytes) else str(each) for each in found.languages)
    return Voice(str(found.id), str(found.name), tuple(languages))


def _make_available() -> None:
    """Loads the engine of the package espeakng-loader where the system has none; pyttsx3 then finds it by name.

    The engine gets a short path to its data, through a link in the current folder: a long path overruns its memory.
    """
    try:
        ctypes.CDLL(LIBRARY)
        return
    except OSError:
        pass
    try:
        import espeakng_loader
    except ImportError:
        return
    os.symlink(espeakng_loader.get_data_path(), DATA)
    os.environ["ESPEAK_DATA_PATH"] = "."
    try:
        ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    except OSError as error:
        raise NoVoice(f"The speech engine in the package espeakng-loader cannot be loaded: {error}.") from error
