"""From a press in a real terminal to the sound, with a real engine, and what is left when the bench ends in any way."""

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.piece_questions.trouble.small_trouble import ALOUD, SHOWS
from tests.running import COMMAND, count, environment, pieces, press_one_by_one, wait_for_count
from tests.screen.benches import CHEVRON, STRIPE, written_to
from tests.speaking import Room, until
from tests.terminal import Terminal

SETTINGS = "voice: on\nlevel: short\nrate: 400\n"


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    """A room the bench speaks in, in which nothing may be left at the end."""
    room = Room(tmp_path / "room")
    yield room
    room.wait_until_nothing_is_left()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return written_to(tmp_path, CHEVRON)


def bench(file: Path, home: Path, room: Room, settings: str = "") -> Terminal:
    """The bench on a design, speaking in the room."""
    if settings:
        home.mkdir(exist_ok=True)
        (home / "settings.yaml").write_text(settings, encoding="utf-8")
    return Terminal([*COMMAND, "follow", str(file)], env=environment(home, room.env))


def heard_to_the_end(room: Room, number: int) -> None:
    """Waits until that many prompts were heard to their end and the bench knows it: their helpers are reaped."""

    def known() -> bool:
        ended = [played for played in room.heard() if played.end is not None]
        return len(ended) == number and not any(Path(f"/proc/{played.helper}").exists() for played in ended)

    until(known, f"end of {number} prompts")


def test_the_spoken_instructions_follow_each_press(file: Path, home: Path, room: Room) -> None:
    with bench(file, home, room, "rate: 400\n") as terminal:
        wait_for_count(terminal, 0)
        terminal.press("v")
        meant = ["row 1 of 12, plum, first from the left, forward over mossy green"]
        heard_to_the_end(room, 1)
        for key, words in (
            ("space", "straw, third from the left, forward over straw"),
            ("space", f"plum, first from the right, backward over mossy green. {ALOUD[SHOWS]}"),
            ("left", "undo forward, straw over straw, straw back, third from the left"),
            ("r", "row 1 of 12, straw, third from the left, forward over straw"),
        ):
            terminal.press(key)
            meant.append(words)
            heard_to_the_end(room, len(meant))
        terminal.press("v", "space")
        wait_for_count(terminal, 2)
        terminal.press("q")
        assert terminal.exit_code == 0
    assert room.handed() == meant


def test_of_quick_presses_only_the_last_is_heard_to_its_end(file: Path, home: Path, room: Room) -> None:
    with bench(file, home, room, SETTINGS) as terminal:
        wait_for_count(terminal, 0)
        heard_to_the_end(room, 1)
        press_one_by_one(terminal, "space", done=0, until=12)
        heard_to_the_end(room, 2)
        terminal.press("q")
        assert terminal.exit_code == 0
    first, *cut_off, last = room.heard()
    assert (first.end is None, last.end is None) == (False, False)
    assert all(played.end is None for played in cut_off)
    # Shortened twice, because hands were faster; sparse words name no colour.
    assert room.handed()[-1] == "first from right, backward"


def test_prompts_of_a_run_get_shorter(tmp_path: Path, home: Path, room: Room) -> None:
    with bench(written_to(tmp_path, STRIPE), home, room, SETTINGS.replace("short", "full") + "tips: off\n") as terminal:
        wait_for_count(terminal, 0)
        for done in range(5):
            heard_to_the_end(room, done + 1)
            terminal.press("space")
            wait_for_count(terminal, done + 1)
        heard_to_the_end(room, 6)
        terminal.press("q")
        assert terminal.exit_code == 0
    assert room.handed() == [
        "row 1 of 12, deep, first from the left, for 5 knots, forward over foam",
        "forward over foam",
        "forward",
        "forward",
        "forward, last with deep",
        "repeat 1 of 2 done, foam, first from the left, for 5 knots, forward over foam",
    ]


@pytest.mark.parametrize("kind", ["no card", "too fast"])
def test_the_bench_says_why_the_voice_fails_and_works_on(file: Path, home: Path, room: Room, kind: str) -> None:
    room.player.become(kind)
    with bench(file, home, room, SETTINGS) as terminal:
        terminal.wait_for("sound card?")
        for done in (1, 2):
            terminal.pump(0.15)
            terminal.press("space")
            wait_for_count(terminal, done)
        assert "sound card" not in terminal.text
        room.player.become("plays")
        # A voice that could not speak is retried.
        terminal.press("v")
        heard_to_the_end(room, 1)
        terminal.press("q")
        assert terminal.exit_code == 0
    assert [(piece["done"], piece["of"]) for piece in pieces(home)] == [(2, 30)]


def test_without_a_player_the_bench_says_what_to_install(file: Path, home: Path, room: Room) -> None:
    (room.player.folder / "aplay").unlink()
    env = {**room.env, "PATH": str(room.player.folder)}
    home.mkdir()
    (home / "settings.yaml").write_text(SETTINGS, encoding="utf-8")
    with Terminal([*COMMAND, "follow", str(file)], env=environment(home, env)) as terminal:
        terminal.wait_for("alsa-utils")
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0


@pytest.mark.parametrize("end", [signal.SIGKILL, signal.SIGTERM, signal.SIGHUP, None], ids=str)
def test_nothing_outlives_the_bench(file: Path, home: Path, room: Room, end: int | None) -> None:
    room.player.become("stuck")
    with bench(file, home, room, SETTINGS) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        until(lambda: len([each for each in room.processes() if each.kind == "player"]) == 1, "player")
        if end is None:
            terminal.hang_up()
        else:
            terminal.signal(end)
            assert terminal.exit_code in (0, -end, 128 + end)
        room.wait_until_nothing_is_left()
    assert pieces(home)[0]["done"] == 1


def test_a_stopped_bench_counts_no_beat(file: Path, home: Path, room: Room) -> None:
    with bench(file, home, room, SETTINGS) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("p")
        terminal.press(*["-"] * 20, gap=0.15)
        terminal.wait_for("pace 1.5 s")
        terminal.wait_until(lambda terminal: (count(terminal) or (0, 0))[0] >= 2, what="a beat that counted")
        terminal.signal(signal.SIGSTOP)
        time.sleep(1.5)
        terminal.pump(0.0)
        before = count(terminal)
        terminal.signal(signal.SIGCONT)
        terminal.wait_for("stood still")
        done = count(terminal)
        terminal.pump(2.0)
        assert before is not None
        assert done is not None
        assert count(terminal) == done
        # Painting may have been stopped between what it did and what it showed.
        assert done[0] in (before[0], before[0] + 1)
        terminal.press("q")
        assert terminal.exit_code == 0
    assert pieces(home)[0]["done"] == done[0]
    assert os.listdir(room.place) == []
