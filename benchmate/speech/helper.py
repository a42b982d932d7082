"""One utterance in a process of its own: `python -m benchmate.speech.helper [PLACE]`.

It gets ready, says so, and reads one line of JSON on standard input:

    {"say": text, "tick": loudness or null,
     "rate": words a minute, "volume": 0 to 1, "voice": id or null, "language": tag}
    {"voices": true}

What happens comes as lines of JSON on what was standard output: `ready`, `missing` (a voice, said in words), `began`
(with its seconds, null where nobody can know), and at the end one of `done`, `voices` and `failed` (with the reason, in
words, and whether it lasts). Nothing else that is printed, by an engine or a player, comes there.

It leads a process group of its own, and works in a folder that it makes in PLACE and takes away when it ends. When
standard input ends it ends at once with all it has started: so it ends when whoever uses it dies, however that happens.
"""

import json
import os
import queue
import shutil
import signal
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, NoReturn

from benchmate.speech import player as sound
from benchmate.speech.engine import TO_FILE, Engine, NoVoice
from benchmate.speech.folders import LOG, PREFIX, of_helper
from benchmate.speech.parent import signal_at_its_death
from benchmate.speech.text import cleaned

SLOWEST, FASTEST = 80, 450
"""Words a minute that the engines can do."""
LONGEST_LINE = 1 << 14


class Events:
    """Lines of JSON to whoever uses this process."""

    def __init__(self) -> None:
        """Takes standard output for itself; what others print there is lost, what they complain of goes to a log."""
        self._to = os.dup(1)
        for number, file in ((1, os.devnull), (2, LOG)):
            opened = os.open(file, os.O_WRONLY | os.O_CREAT, 0o600)
            os.dup2(opened, number)
            os.close(opened)

    def tell(self, event: str, **more: object) -> None:
        line = json.dumps({"event": event, **more}).encode() + b"\n"
        try:
            while line:
                line = line[os.write(self._to, line) :]
        except OSError:
            end_alone()


def main() -> None:
    """Speaks once. Never returns."""
    _stand_alone()
    folder = of_helper(Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.gettempdir()), os.getpid())
    folder.mkdir(mode=0o700)
    os.chdir(folder)
    os.environ["TMPDIR"] = tempfile.tempdir = os.getcwd()
    events = Events()
    asked: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(asked,), daemon=True).start()
    engine: Engine | NoVoice
    try:
        engine = Engine()
    except NoVoice as why:
        engine = why
    events.tell("ready")
    request = json.loads(asked.get())
    try:
        if "voices" in request:
            events.tell("voices", voices=_there(engine).voices)
        else:
            _speak(request, engine, events.tell)
            events.tell("done")
    except sound.NotHeard as why:
        events.tell("failed", why=str(why), lasting=why.lasting)
    except (NoVoice, OSError) as error:
        place = tempfile.gettempdir()
        words = f"Speech cannot be written to {place}: {error.strerror}." if isinstance(error, OSError) else str(error)
        if isinstance(error, NoVoice) and (lacking := sound.lacking()):
            words += f" {lacking}"
        # Where its folder was taken away, the next helper has another.
        events.tell("failed", why=words, lasting=os.path.exists(place))
    end()


def end() -> NoReturn:
    """Ends this process with all it has started, and takes its folder away. Never returns."""
    if sys.platform == "win32":
        os.chdir(Path(tempfile.gettempdir()).parent)
    shutil.rmtree(tempfile.gettempdir(), ignore_errors=True)
    _end_group()


def end_alone() -> NoReturn:
    """Ends, as `end` does, at a moment when nobody is there any more who uses this process, and clears up for them too.

    An engine that misses its files ends the process by itself: what is done with them has to end before they go.
    """
    if sys.platform == "win32":
        end()
    folder, this = Path(tempfile.gettempdir()), os.getpid()
    try:
        child = os.fork()
    except OSError:
        end()
    if child == 0:
        os.setpgid(0, 0)
        while os.getppid() == this:
            time.sleep(0.001)
        shutil.rmtree(folder, ignore_errors=True)
        # Whoever of several helpers is the last does it.
        with suppress(OSError):
            if folder.parent.name.startswith(PREFIX):
                folder.parent.rmdir()
        os._exit(0)
    with suppress(OSError):
        os.setpgid(child, child)
    _end_group()


def _end_group() -> NoReturn:
    if sys.platform != "win32":
        os.killpg(0, signal.SIGKILL)
    os._exit(0)


def _stand_alone() -> None:
    """A process group of its own, and a way to notice the death of the parent even when stopped."""
    if sys.platform == "win32":
        return
    if os.getpgrp() != os.getpid():
        os.setpgid(0, 0)
    # A stopped process whose parent dies may be sent this before it is woken, and has to live to clear up.
    signal.signal(signal.SIGHUP, lambda number, frame: None)
    signal_at_its_death(signal.SIGCONT)


def _listen(asked: "queue.SimpleQueue[bytes]") -> None:
    """Hands on the first line of standard input, and ends everything at its end."""
    line = b""
    while part := os.read(0, LONGEST_LINE):
        if b"\n" not in line:
            line += part
            if b"\n" in line:
                asked.put(line)
    end_alone()


def _there(engine: Engine | NoVoice) -> Engine:
    if isinstance(engine, NoVoice):
        raise engine
    return engine


def _speak(request: dict[str, Any], engine: Engine | NoVoice, tell: Callable[..., None]) -> None:
    text, tick, file = cleaned(request["say"]), request["tick"], Path("voice.wav")

    def began(seconds: float | None = None) -> None:
        tell("began", seconds=seconds)

    if text:
        _prepare(request, _there(engine), tell)
    lead = b"" if tick is None else sound.tick(min(max(float(tick), 0.0), 1.0))
    if text and TO_FILE:
        _there(engine).write(text, file)
        if lead:
            sound.lead_with(lead, file)
        sound.play(file, began)
        return
    if lead:
        sound.write(file, lead)
        sound.play(file, began)
    if text:
        _there(engine).say(text, began)


def _prepare(request: dict[str, Any], engine: Engine, tell: Callable[..., None]) -> None:
    wished, language = request["voice"], request["language"]
    voice = engine.voice_for(wished, language)
    if wished is not None and (voice is None or voice.id != wished):
        tell("missing", what=f"There is no voice `{cleaned(wished)}` on this machine; another one speaks.")
    elif voice is None:
        tell("missing", what=f"There is no voice for the language `{cleaned(language)}`; the usual one speaks.")
    rate = min(max(int(request["rate"]), SLOWEST), FASTEST)
    engine.set(rate, min(max(float(request["volume"]), 0.0), 1.0), voice)


if __name__ == "__main__":
    main()
