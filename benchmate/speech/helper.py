"""One utterance in a process of its own: `python -m benchmate.speech.helper [PLACE]`.

It starts the engine, reports `ready`, and reads one line of JSON on standard input:

    {"say": text, "lead": samples to play first, in base 64,
     "rate": words a minute, "volume": 0 to 1, "voice": id or null, "language": tag}
    {"voices": true}

It reports events as lines of JSON on the original standard output: `ready`, `missing` (a voice, with a message),
`began` (with the length in seconds, null if unknown), and at the end `done`, `voices` or `failed` (with the reason as a
message, whether it is lasting, and whether sounds without words still work). Nothing that an engine or a player prints
gets there.

It leads its own process group and works in a folder that it makes in PLACE and deletes when it ends. When standard
input ends, it ends at once with everything it started, so it never outlives its user, however that dies.
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
from base64 import b64decode
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, NoReturn

from benchmate.speech import player
from benchmate.speech.engine import TO_FILE, Engine, NoVoice
from benchmate.speech.folders import LOG, PREFIX, of_helper
from benchmate.speech.parent import adopt_orphans, signal_on_parent_death
from benchmate.speech.strays import kill_outside_group
from benchmate.speech.text import cleaned

SLOWEST, FASTEST = 80, 450
"""Words a minute that every engine can speak."""
LONGEST_LINE = 1 << 14


class Events:
    """Lines of JSON to the program that uses this helper."""

    def __init__(self) -> None:
        """Takes over standard output. Other output is discarded, and error output goes to a log."""
        self._to = os.dup(1)
        for number, file in ((1, os.devnull), (2, LOG)):
            opened = os.open(file, os.O_WRONLY | os.O_CREAT, 0o600)
            os.dup2(opened, number)
            os.close(opened)

    def send(self, event: str, **more: object) -> None:
        """Sends one event. Ends this process when the reader is gone."""
        line = json.dumps({"event": event, **more}).encode() + b"\n"
        try:
            while line:
                line = line[os.write(self._to, line) :]
        except OSError:
            end_orphaned()


def main() -> None:
    """Speaks once. Never returns."""
    _lead_process_group()
    folder = of_helper(Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.gettempdir()), os.getpid())
    folder.mkdir(mode=0o700)
    os.chdir(folder)
    os.environ["TMPDIR"] = tempfile.tempdir = os.getcwd()
    events = Events()
    requests: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(requests,), daemon=True).start()
    engine: Engine | NoVoice
    try:
        engine = Engine()
    except NoVoice as why:
        engine = why
    events.send("ready")
    request = json.loads(requests.get())
    try:
        if "voices" in request:
            events.send("voices", voices=_working(engine).voices)
        else:
            _speak(request, engine, events.send)
            events.send("done")
    except player.NotPlayed as why:
        events.send("failed", why=str(why), lasting=why.lasting, sounds=False)
    except (NoVoice, OSError) as error:
        place = tempfile.gettempdir()
        reason = f"Speech cannot be written to {place}: {error.strerror}." if isinstance(error, OSError) else str(error)
        only_words = isinstance(error, NoVoice)
        if only_words and (missing := player.missing_player()):
            reason, only_words = f"{reason} {missing}", False
        # If its folder was deleted, the next helper gets a new one and may succeed.
        events.send("failed", why=reason, lasting=os.path.exists(place), sounds=only_words)
    end()


def end() -> NoReturn:
    """Ends this process with everything it started, and deletes its folder. Never returns."""
    if sys.platform == "win32":
        os.chdir(Path(tempfile.gettempdir()).parent)
    kill_outside_group(os.getpid())
    shutil.rmtree(tempfile.gettempdir(), ignore_errors=True)
    _end_group()


def end_orphaned() -> NoReturn:
    """Ends as `end` does once the program that used this helper is gone, and deletes that program's folder too.

    An engine whose files disappear can kill this process, so a child deletes them after this process has ended.
    """
    if sys.platform == "win32":
        end()
    # Before there is a child that must not be killed.
    kill_outside_group(os.getpid())
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
        # The last of several helpers succeeds.
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


def _lead_process_group() -> None:
    """Starts a process group, and adopts what leaves it.

    Makes sure that the parent's death is noticed even while this process is stopped.
    """
    if sys.platform == "win32":
        return
    adopt_orphans()
    if os.getpgrp() != os.getpid():
        os.setpgid(0, 0)
    # A stopped process whose parent dies may get SIGHUP before it wakes, and must survive it to delete its files.
    signal.signal(signal.SIGHUP, lambda number, frame: None)
    signal_on_parent_death(signal.SIGCONT)


def _listen(requests: "queue.SimpleQueue[bytes]") -> None:
    """Passes on the first line of standard input; ends everything when standard input ends."""
    line = b""
    while part := os.read(0, LONGEST_LINE):
        if b"\n" not in line:
            line += part
            if b"\n" in line:
                requests.put(line)
    end_orphaned()


def _working(engine: Engine | NoVoice) -> Engine:
    if isinstance(engine, NoVoice):
        raise engine
    return engine


def _speak(request: dict[str, Any], engine: Engine | NoVoice, send: Callable[..., None]) -> None:
    text, file = cleaned(request["say"]), Path("voice.wav")
    lead = b64decode(request["lead"])

    def began(seconds: float | None = None) -> None:
        send("began", seconds=seconds)

    if text and isinstance(engine, Engine):
        _prepare(request, engine, send)
        if TO_FILE:
            engine.write(text, file)
            if lead:
                player.lead_with(lead, file)
            player.play(file, began)
            return
    if text and player.missing_player():
        _working(engine)
    if lead:
        player.write(file, lead)
        player.play(file, began)
    if text:
        _working(engine).say(text, began)


def _prepare(request: dict[str, Any], engine: Engine, send: Callable[..., None]) -> None:
    # An engine that started while its folder was being deleted may know no voices; that says nothing about the machine.
    os.stat(tempfile.gettempdir())
    wanted, language = request["voice"], request["language"]
    voice = engine.voice_for(wanted, language)
    if wanted is not None and (voice is None or voice.id != wanted):
        send("missing", what=f"This machine has no voice `{cleaned(wanted)}`; another one speaks.")
    elif voice is None:
        send("missing", what=f"This machine has no voice for the language `{cleaned(language)}`; the usual one speaks.")

    rate = min(max(int(request["rate"]), SLOWEST), FASTEST)
    engine.set(rate, min(max(float(request["volume"]), 0.0), 1.0), voice)


if __name__ == "__main__":
    main()
