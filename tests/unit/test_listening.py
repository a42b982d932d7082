"""The pedal that listens: what it takes for a press, what it never does, and what it says when it cannot listen."""

import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from benchmate.listening import microphone, pedal
from benchmate.listening.detector import FRAME, RATE, Detector
from benchmate.listening.pedal import ECHO, LATE, REFRACTORY, Pedal
from tests.heard_prompts import TALK, prompts, spoken
from tests.stand_in_microphone import StandIn
from tests.table_sounds import (
    NOISES,
    Noise,
    Sound,
    ambience,
    as_bytes,
    clap,
    in_quiet,
    in_room,
    joined,
    pair_of,
    table,
    talk,
    tap,
    to_peak,
)

BLOCK = RATE // 50


def presses(sound: Sound, block: int = BLOCK) -> list[float]:
    """When the presses heard in a sound began, in seconds."""
    detector, whole = Detector(), as_bytes(sound)
    return [
        min(start + block, len(whole) // 2) / RATE - ago
        for start in range(0, len(whole) // 2, block)
        for ago in detector.hear(whole[2 * start : 2 * (start + block)])
    ]


def heard(random: np.random.Generator, sound: Sound) -> int:
    """How many presses are heard in a sound that stands alone, at a usual distance and loudness, in a usual room."""
    loud, hiss = random.uniform(-26, -6), random.uniform(-74, -60)
    return len(presses(in_quiet(random, sound, random.uniform(0.3, 1.0), loud, hiss)))


# The detector


@pytest.mark.parametrize("make", [tap, clap])
def test_a_pair_of_taps_or_claps_is_heard_once(make: Callable[[np.random.Generator], Sound]) -> None:
    random = np.random.default_rng(1)
    assert sum(heard(random, pair_of(random, make)) == 1 for _ in range(40)) >= 38


@pytest.mark.parametrize("make", [tap, clap])
@pytest.mark.parametrize("times", [[0.0], [0.0, 0.15], [0.0, 0.6], [0.0, 0.25, 0.5], [0.0, 0.25, 0.5, 0.75]])
def test_any_other_number_of_knocks_is_none(make: Callable[[np.random.Generator], Sound], times: list[float]) -> None:
    random = np.random.default_rng(2)
    for _ in range(2):
        knocks = [make(random) for _ in times]
        assert heard(random, joined(knocks, times)) == 0


def test_a_press_is_told_with_the_time_it_began() -> None:
    random = np.random.default_rng(3)
    sound = in_quiet(random, pair_of(random, tap, 0.25), 0.4, -12, -68)
    (began,) = presses(sound)
    assert began == pytest.approx(1.1, abs=0.03)
    twice = presses(np.concatenate([sound, sound]))
    assert np.diff(twice) == pytest.approx([len(sound) / RATE], abs=0.03)


def test_the_size_of_the_blocks_changes_nothing() -> None:
    random = np.random.default_rng(4)
    sound = np.concatenate([in_quiet(random, pair_of(random, clap), 0.5, -10, -66) for _ in range(3)])
    whole = presses(sound)
    assert len(whole) == 3
    for block in (160, 240, 333, 1000):
        assert presses(sound, block) == pytest.approx(whole, abs=FRAME / RATE)


def test_a_few_minutes_of_table_noise_press_nothing() -> None:
    random = np.random.default_rng(5)
    sound = table(random, 120, busy=3)
    assert presses(sound) == []
    # The same table does not drown a press.
    for at in (20, 60, 100):
        sound[at * RATE : (at + 2) * RATE] = ambience(random, 2, -58, -66)
        both = to_peak(in_room(random, pair_of(random, tap, 0.25), 0.4), -10)[: 9 * RATE // 10]
        sound[(at + 1) * RATE : (at + 1) * RATE + len(both)] += both
    assert presses(sound) == pytest.approx([21, 61, 101], abs=0.03)


@pytest.mark.parametrize("noise_of", NOISES, ids=lambda noise_of: noise_of.name)
def test_single_noises_press_nothing(noise_of: Noise) -> None:
    random = np.random.default_rng(6)
    for _ in range(5):
        loud = random.uniform(*noise_of.loud)
        assert presses(in_quiet(random, noise_of.make(random), noise_of.metres, loud, -66)) == [], loud


def test_the_voice_of_the_bench_and_talk_press_nothing() -> None:
    random = np.random.default_rng(7)
    own = spoken(random, prompts(random, 12))
    nearby = spoken(random, TALK[::2], ("gmw/en+f2", "gmw/en-US+m3"))
    for sentences, metres in ((own, 0.4), (nearby, 2.0)):
        quiet = ambience(random, 45, -60, -68)
        assert presses(quiet + talk(random, 45, sentences, metres, (-35, -10))) == []


def test_silence_and_a_click_at_full_scale_press_nothing() -> None:
    silence = np.zeros(3 * RATE)
    assert presses(silence) == []
    silence[RATE] = 1.0
    assert presses(silence) == []


# The pedal


class Bench:
    """What the pedal presses and asks: a bench that has been quiet since some time."""

    def __init__(self) -> None:
        self.presses: list[float] = []
        self.quiet: float | None = float("-inf")
        self.said: list[str] = []
        self.told = threading.Event()
        self.pedal = Pedal(self.press, lambda: self.quiet, self.say)

    def press(self, at: float) -> None:
        self.presses.append(at)
        self.told.set()

    def say(self, words: str) -> None:
        self.said.append(words)
        self.told.set()

    def hear(self, began: float, ago: float = 0.6) -> int:
        """Has the pedal hear a press; how many it made of it."""
        before = len(self.presses)
        self.pedal._press(began, began + ago)
        return len(self.presses) - before


def test_the_pedal_is_deaf_while_the_bench_sounds_and_while_that_echoes() -> None:
    bench = Bench()
    assert bench.hear(100.0) == 1
    bench.quiet = None
    assert bench.hear(110.0) == 0
    bench.quiet = 120.0
    assert bench.hear(119.0) == 0
    assert bench.hear(120.0 + ECHO - 0.01) == 0
    assert bench.hear(120.0 + ECHO + 0.01) == 1


def test_one_press_each_time_and_none_that_comes_late() -> None:
    bench = Bench()
    assert bench.hear(100.0) == 1
    assert bench.hear(100.0 + REFRACTORY - 0.05) == 0
    assert bench.hear(100.0 + REFRACTORY + 0.05) == 1
    assert bench.hear(200.0, ago=LATE + 0.1) == 0


# The microphone


@pytest.fixture
def bench() -> Iterator[Bench]:
    bench = Bench()
    yield bench
    bench.pedal.stop()


@pytest.mark.parametrize("times", [1, 3])
def test_a_press_travels_from_the_microphone_to_the_bench(stand_in: StandIn, bench: Bench, times: int) -> None:
    sound = in_quiet(np.random.default_rng(8), pair_of(np.random.default_rng(9), tap, 0.25), 0.4, -12, -68)
    stand_in.hears(np.repeat(np.tile(sound, 2), times), RATE * times)
    bench.pedal.start()
    assert bench.told.wait(20)
    assert (len(bench.presses), bench.said, bench.pedal.listening) == (1, [], True)
    bench.pedal.stop()
    assert not bench.pedal.listening


def test_sound_is_neither_kept_nor_passed_on(
    stand_in: StandIn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in.hears(in_quiet(np.random.default_rng(8), pair_of(np.random.default_rng(9), tap, 0.25), 0.4, -12, -68))
    place = tmp_path / "place"
    place.mkdir()
    for name in ("HOME", "TMPDIR", "BENCHMATE_HOME"):
        monkeypatch.setenv(name, str(place))
    process = subprocess.Popen(
        [sys.executable, "-B", "-P", "-c", pedal.START, str(pedal.ROOT)],
        cwd=place,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    with process:
        assert process.stdout is not None
        assert process.stderr is not None
        lines = [json.loads(line) for line in process.stdout]
        assert process.stderr.read() == b""
    assert [sorted(line) for line in lines] == [["event"], ["began", "event"], ["event", "message"]]
    assert [line["event"] for line in lines] == ["listening", "press", "failed"]
    assert lines[2]["message"] == microphone.STOPPED
    assert list(place.iterdir()) == []


def test_without_a_microphone_one_plain_line_says_so(stand_in: StandIn, bench: Bench) -> None:
    stand_in.hears(None)
    bench.pedal.start()
    assert bench.told.wait(20)
    assert bench.said == [microphone.NO_MICROPHONE]
    assert not bench.pedal.listening


def test_a_microphone_that_cannot_be_opened_says_why(stand_in: StandIn, bench: Bench) -> None:
    stand_in.hears(np.zeros(10), rate=8000)
    bench.pedal.start()
    assert bench.told.wait(20)
    (said,) = bench.said
    assert said == "No taps can be heard: the microphone cannot be opened (Invalid sample rate [PaErrorCode -9997])."


@pytest.mark.parametrize(
    ("fault", "says"),
    [
        ("raise ImportError('No module named sounddevice')", microphone.NO_PACKAGE),
        ("raise OSError('PortAudio library not found')", microphone.NO_LIBRARY),
        ("import os; os._exit(3)", pedal.ENDED),
    ],
)
def test_what_is_not_installed_is_named_once(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str, says: str
) -> None:
    (tmp_path / "sounddevice.py").write_text(fault, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    for _ in range(2):
        # It may have been installed meanwhile, so that another start tries again.
        bench.told.clear()
        bench.pedal.start()
        assert bench.told.wait(20)
    assert bench.said == [says] * 2


def test_a_process_that_cannot_be_started_is_said(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    bench.pedal.start()
    assert bench.said == [
        "No taps can be heard: the process that listens cannot be started (No such file or directory)."
    ]


def test_the_process_ends_with_the_bench(stand_in: StandIn, tmp_path: Path) -> None:
    stand_in.hears(np.zeros(60 * RATE))
    program = f"""
import os, signal, sys
sys.path.insert(0, {str(pedal.ROOT)!r})
from benchmate.listening.pedal import Pedal
pedal = Pedal(print, lambda: 0.0, print)
pedal.start()
print(pedal._process.pid, flush=True)
os.kill(os.getpid(), signal.SIGKILL)
"""
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    until = time.monotonic() + 20
    while _alive(int(found.stdout)):
        assert time.monotonic() < until
        time.sleep(0.02)


def _alive(process: int) -> bool:
    try:
        return " Z " not in Path(f"/proc/{process}/stat").read_text(encoding="ascii", errors="replace")
    except FileNotFoundError:
        return False


def test_nothing_is_loaded_before_it_is_asked_for() -> None:
    program = """
import sys
import benchmate.listening.pedal, benchmate.bench.app
benchmate.listening.pedal.Pedal(print, lambda: None, print)
assert not [name for name in sys.modules if "sounddevice" in name or name.endswith(("microphone", "detector"))]
"""
    subprocess.run([sys.executable, "-c", program], check=True, cwd=pedal.ROOT)
