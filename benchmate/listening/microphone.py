"""The microphone, in a process of its own: `python -m benchmate.listening.microphone`.

It hears the microphone that the system has chosen until standard input ends, and reports events as lines of JSON on the
original standard output: `listening` once it hears, `press` (with the time by the monotonic clock when the press
began), and at the end `failed` (with the reason as a message). The sound itself is neither kept nor passed on.

The library and what it loads print to standard error, and it turns standard error away while it loads: in the process
that draws on the screen, parts of the screen would be lost.
"""

import json
import os
import queue
import threading
import time
from array import array
from collections.abc import Callable
from typing import Any, NoReturn

from benchmate.listening.detector import RATE, Detector

NO_PACKAGE = "No taps can be heard: the package sounddevice is missing. See `benchmate help listening`."
NO_LIBRARY = "No taps can be heard: install PortAudio (on Debian, `apt install libportaudio2`)."
NO_MICROPHONE = "No taps can be heard: no microphone was found."
STOPPED = "Taps are no longer heard: the microphone gives no sound."
OVERSAMPLED = (1, 3)
"""How many samples are taken for each of ours: some microphones know only 48,000 a second."""
BLOCKS = 50
"""How many blocks come in a second."""
PATIENCE = 3.0
"""Seconds without a block after which the microphone counts as gone."""

Send = Callable[..., None]


class _Failed(Exception):
    """The microphone cannot be heard; the message says why."""


def main() -> NoReturn:
    """Listens until standard input ends, or until the microphone fails."""
    to = os.dup(1)
    away = os.open(os.devnull, os.O_WRONLY)
    for number in (1, 2):
        os.dup2(away, number)
    threading.Thread(target=_end_with_input, daemon=True).start()

    def send(event: str, **more: object) -> None:
        try:
            os.write(to, json.dumps({"event": event, **more}).encode() + b"\n")
        except OSError:
            os._exit(0)

    try:
        _listen(send)
    except _Failed as failed:
        send("failed", message=str(failed))
    # Closing a stream of a microphone that has gone may wait for ever.
    os._exit(0)


def _end_with_input() -> None:
    while os.read(0, 1 << 12):
        pass
    os._exit(0)


def _listen(send: Send) -> NoReturn:
    """Reports presses. Raises _Failed."""
    blocks: queue.SimpleQueue[tuple[float, bytes]] = queue.SimpleQueue()
    stream, times = _open(lambda block: blocks.put((time.monotonic(), block)))
    detector = Detector()
    listening = False
    while True:
        try:
            came, block = blocks.get(timeout=PATIENCE)
        except queue.Empty:
            raise _Failed(STOPPED) from None
        if not listening:
            listening = True
            send("listening")
        for ago in detector.hear(_thinned(block, times)):
            send("press", began=came - ago - float(stream.latency))


def _open(take: Callable[[bytes], None]) -> tuple[Any, int]:
    """The opened stream, and how many of its samples make one of ours. Raises _Failed."""
    try:
        import sounddevice
    except ImportError as error:
        raise _Failed(NO_PACKAGE) from error
    except OSError as error:
        raise _Failed(NO_LIBRARY) from error
    # The library raises errors of its own, and others where a driver is at fault; any means that nothing is heard.
    try:
        sounddevice.query_devices(kind="input")
    except Exception as error:
        raise _Failed(NO_MICROPHONE) from error
    fault = ""
    for times in OVERSAMPLED:
        try:
            stream = sounddevice.RawInputStream(
                samplerate=RATE * times,
                blocksize=RATE * times // BLOCKS,
                channels=1,
                dtype="int16",
                callback=lambda block, frames, at, status: take(bytes(block)),
            )
            stream.start()
            return stream, times
        except Exception as error:
            fault = " ".join(str(error).split()).rstrip(".")[:160]
    raise _Failed(f"No taps can be heard: the microphone cannot be opened ({fault}).")


def _thinned(block: bytes, times: int) -> bytes:
    """The block with the mean of every `times` samples as one."""
    if times == 1:
        return block
    samples = array("h", block)
    parts = [samples[first::times] for first in range(times)]
    return array("h", [sum(each) // times for each in zip(*parts, strict=True)]).tobytes()


if __name__ == "__main__":
    main()
