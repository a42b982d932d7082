"""Kills at random moments, of a speaking program and its helpers and players, leave nothing behind."""

import os
import random
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.reference_voice import Asked, Rendered, rendered
from tests.running import PATIENCE, environment
from tests.speaking import Process, Room, until

KILLS = 40
AT_ONCE = 4
SIGNALS = (signal.SIGKILL, signal.SIGKILL, signal.SIGTERM, signal.SIGSTOP)
VICTIMS = ("talker", "speaking", "spare", "player", "all")
TALKER = """
import sys
from benchmate.speech.speaker import Speaker, SpeechOptions
speaker = Speaker(lambda message: print("reported", message, flush=True))
speaker.on()
print("up", flush=True)
for line in sys.stdin:
    if line == "on\\n":
        speaker.on()
    else:
        speaker.say(line, SpeechOptions(450))
speaker.close()
"""
"""Speaks each line it gets; prints what is reported."""


class Talker:
    """A program that speaks."""

    def __init__(self, room: Room, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", TALKER],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            bufsize=0,
            env=environment(folder, room.env),
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == b"up\n"
        os.set_blocking(self.process.stdout.fileno(), False)

    def say(self, text: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(text.encode() + b"\n")

    def reported(self) -> bytes:
        assert self.process.stdout is not None
        return self.process.stdout.read() or b""

    def end(self) -> tuple[int, bytes]:
        """Closes its input; returns its exit status and its error output."""
        assert self.process.stderr is not None
        with self.process:
            assert self.process.stdin is not None
            self.process.stdin.close()
            errors = self.process.stderr.read()
        return self.process.wait(PATIENCE), errors


def victims(room: Room, talker: Talker, which: str) -> list[int]:
    """The process ids of the victims that exist now."""
    running = room.processes()
    speaking = {process.parent for process in running if process.kind == "player"}

    def is_meant(process: Process) -> bool:
        if process.kind == "helper":
            return which in ("speaking" if process.pid in speaking else "spare", "all")
        if process.kind == "player":
            return which in ("player", "all")
        return process.pid == talker.process.pid and which in ("talker", "all")

    # The talker last, because it cleans up after the others.
    return sorted((process.pid for process in running if is_meant(process)), key=lambda pid: pid == talker.process.pid)


def many_kills(folder: Path, seed: int) -> int:
    """Kills at random; returns how often speech had to be switched on again."""
    chance = random.Random(seed)
    folder.mkdir()
    room = Room(folder)
    prompts = [f"knot {number}, forward" for number in range(KILLS // AT_ONCE)]
    meant = rendered(*(Asked(prompt, 450) for prompt in prompts))
    talker, failures = Talker(room, folder), 0
    for prompt, sound in zip(prompts, meant, strict=True):
        talker.say("row seven is done, take up string four")
        time.sleep(chance.uniform(0.0, 0.12))
        number = chance.choice(SIGNALS)
        # Some kinds may not exist at this moment; the talker always does.
        doomed = next(filter(None, (victims(room, talker, which) for which in chance.sample(VICTIMS, len(VICTIMS)))))
        room.signal(doomed, number)
        if talker.process.pid in doomed:
            time.sleep(chance.uniform(0.0, 0.02))
            talker.process.kill()
            assert b"Traceback" not in talker.end()[1]
            until(lambda: not room.processes(), "end of the helpers")
            talker = Talker(room, folder)
        failures += spoken(room, talker, prompt, sound)
    assert talker.end() == (0, b"")
    room.wait_until_nothing_is_left()
    return failures


def spoken(room: Room, talker: Talker, prompt: str, sound: Rendered) -> int:
    """Speaks a prompt until it is heard; returns how many failures were reported until then."""
    failures = 0

    def is_heard() -> bool:
        nonlocal failures
        if reported := talker.reported():
            assert b"in a row" in reported or b"was killed by signal" in reported, reported
            failures += 1
            talker.say("on")
            talker.say(prompt)
        return any((played.samples, played.checksum) == sound for played in room.heard())

    talker.say(prompt)
    until(is_heard, f"sound of {prompt!r}")
    return failures


def test_killed_and_stopped_at_random_moments(tmp_path: Path) -> None:
    with ThreadPoolExecutor(AT_ONCE) as pool:
        found = list(pool.map(many_kills, [tmp_path / str(each) for each in range(AT_ONCE)], range(AT_ONCE)))
    # Speech fails only after several helpers in a row are lost.
    assert sum(found) < 3
