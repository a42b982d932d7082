"""A terminal that sends what it should not: newer key events, other encodings, pastes without an end, noise."""

import random
import sys
from pathlib import Path

import pytest

from tests.running import bench, count, environment, pieces, wait_for_count
from tests.screen.benches import CHEVRON, written_to
from tests.screen.test_in_a_terminal import restored
from tests.terminal import Terminal

APART = 0.2
"""Seconds between two presses that both count."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A design of 30 knots."""
    return written_to(tmp_path, CHEVRON)


def leaves(terminal: Terminal) -> None:
    """Leaves by ctrl+c, with the terminal restored and nothing to say."""
    terminal.press("ctrl+c")
    assert terminal.exit_code == 0
    assert restored(bytes(terminal.raw))
    assert not terminal.text.strip()


def test_keys_of_the_newer_protocol_and_bytes_that_are_no_text(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        done = 0
        for press in (
            b"\x1b[32;1:1u",
            b"\x1b[32;;32u",
            b"\x1b[13;1:1u",
            b"\x1b[6;1:1~",
            b"\xe9 ",
            b"\xff\xf0\x9f\x1b[32u",
        ):
            terminal.send(press)
            done += 1
            wait_for_count(terminal, done)
            terminal.pump(APART)
        terminal.send(b"\x1b[97:65;2u\x1b[97;;97u\x1b[32;1:3u\x1b[1;1:3C")
        terminal.pump(APART)
        terminal.press("space")
        wait_for_count(terminal, done + 1)
        leaves(terminal)


def test_a_repeat_that_the_terminal_tells_of_is_no_press(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.send(b"\x1b[32;1:1u")
        wait_for_count(terminal, 1)
        for _ in range(4):
            terminal.pump(APART)
            terminal.send(b"\x1b[32;1:2u")
        terminal.pump(APART)
        terminal.send(b"\x1b[32;1:3u\x1b[13;1:1u")
        wait_for_count(terminal, 2)
        leaves(terminal)


def test_a_paste_counts_no_press_and_one_without_an_end_is_given_up(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.send(b"\x1b[200~ \r q \x1b[A \x1b \x1b[201~")
        terminal.send(b"\x1b[200~ \r q ")
        terminal.pump(1.5)
        # From a terminal that does not mark what is pasted.
        terminal.send("see you at noon\r q ")
        terminal.pump(0.5)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.send(b"\x1b[200~ \r q ")
        leaves(terminal)


HARMLESS = bytes(
    each for each in range(256) if each not in b"\x03\x11\x1a ?+-=\r\n\x7f\x08" and not chr(each).isalpha()
)
"""Bytes that are no key of the bench on their own; with an escape before them some are."""
BEGINNINGS = (
    b"\x1b[",
    b"\x1b[<",
    b"\x1b]",
    b"\x1bP",
    b"\x1b[200~",
    b"\x1b[32;1:",
    b"\x1b[48;",
    b"\xf0\x9f",
    b"\x1b[M",
    b"\x1bO",
)


@pytest.mark.parametrize(("seed", "size"), [(1, 20_000), (2, 1 << 20)])
def test_after_noise_the_bench_hears_every_key(file: Path, home: Path, seed: int, size: int) -> None:
    chance = random.Random(seed)
    noise = bytearray(chance.choices(HARMLESS, k=size))
    for _ in range(size // 100):
        at = chance.randrange(size)
        noise[at:at] = chance.choice(BEGINNINGS)
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.send(bytes(noise))
        terminal.pump(1.5)
        terminal.settle()
        if "Is a pedal stuck" in terminal.text:
            terminal.press("y")
        terminal.wait_until(lambda terminal: count(terminal) is not None, what="the step again")
        done = (count(terminal) or (0, 0))[0]
        terminal.press("space")
        wait_for_count(terminal, done + 1)
        leaves(terminal)
    assert [piece["done"] for piece in pieces(home)] == [done + 1]


@pytest.mark.parametrize("seed", range(2))
def test_after_noise_of_any_bytes_ctrl_c_leaves(file: Path, home: Path, seed: int) -> None:
    # Keys that leave, stop or speak would end it otherwise than by ctrl+c.
    noise = bytes(each for each in random.Random(seed).randbytes(20_000) if each not in b"qtvs\x03\x11\x1a")
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.send(noise)
        terminal.pump(0.3)
        leaves(terminal)


BREAKS = """
import sys
from benchmate.bench.step.step_screen import StepScreen
from benchmate.bench.terminal.keyboard import Keyboard
from benchmate.cli import run
def breaks(*given):
    raise LookupError("this is broken")
{where} = breaks
run()
"""


@pytest.mark.parametrize("where", ["StepScreen.take_press", "Keyboard.feed"])
def test_a_fault_of_the_bench_is_no_success(file: Path, home: Path, where: str) -> None:
    command = [sys.executable, "-c", BREAKS.format(where=where), "follow", str(file)]
    with Terminal(command, env=environment(home)) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        assert terminal.exit_code == 1
        assert restored(bytes(terminal.raw))
        assert "A fault in benchmate itself, not in your work: LookupError: this is broken." in " ".join(
            terminal.text.split()
        )
        assert "Traceback" not in terminal.text
    assert "this is broken" in (home / "fault-report.txt").read_text(encoding="utf-8")
