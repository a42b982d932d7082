"""Sounds without words: which press makes which, with the voice and without; and a tap on the table as a press."""

import threading
import time
from collections.abc import Callable

import pytest

from benchmate.bench.step.step_screen import StepScreen
from benchmate.bench.terminal.guard import FLOOD
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_voice import PieceVoice
from benchmate.settings import DEFAULTS
from benchmate.speech.sounds import Sound, Sounds
from benchmate.store.pieces import Pieces
from tests.screen.benches import PICTURE, ROPE, WRITTEN, full
from tests.screen.hands import sitting
from tests.voices import Recorder

SOUNDS = DEFAULTS._replace(sounds="on")
TWO_RUNS = """\
benchmate: 1
title: Two runs
family: diagonal
colours: {deep: '#0b3c5d', foam: '#f4f1de'}
strings: [deep, foam, foam]
rows: ['f', 'f', 'f']
"""


def sounds_of(voice: Recorder) -> list[list[str]]:
    """The sounds of every prompt so far."""
    return [said.heard for said in voice.said]


async def test_sounds_alone_where_the_voice_is_off(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(TWO_RUNS), settings=SOUNDS._replace(tick="on")) as hands:
        assert voice().switched == ["on"], "so that the first sound comes at once"
        await hands.press("left", "space", "space", "left", "space", "space", "space")
        assert voice().words == [""] * 7
        assert sounds_of(voice()) == [
            ["wrong way"],
            ["row end"],
            ["row end", "string change"],
            ["undone"],
            ["row end", "string change"],
            ["row end"],
            ["wrong way"],
        ]
        assert {said.sounds.share for said in voice().said if said.sounds} == {0.5}


async def test_sounds_come_before_the_words_and_in_the_place_of_the_tick(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    settings = SOUNDS._replace(voice="on", tick="on", sounds_volume=80)
    async with sitting(kept, chevron, settings=settings) as hands:
        await hands.press("space", "space", "space", "left", "r")
    assert sounds_of(voice()) == [
        [],
        ["string change"],
        ["string change"],
        ["row end", "string change"],
        ["undone"],
        [],
    ]
    assert all(voice().words)
    assert voice().said[1].sounds == Sounds((Sound.STRING_CHANGE,), 0.8)


@pytest.mark.parametrize(
    ("text", "heard"),
    [
        (PICTURE, ["string change", "done", "string change", "string change", "row end, string change"]),
        (ROPE, ["done", "done", "done", "row end", "done"]),
        (WRITTEN, ["done", "done", "done", "done", "wrong way"]),
    ],
    ids=["picture", "braid", "written"],
)
async def test_sounds_of_each_family(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder], text: str, heard: list[str]
) -> None:
    async with sitting(kept, begin(text), settings=SOUNDS) as hands:
        await hands.press(*["space"] * 5)
    assert [", ".join(each) for each in sounds_of(voice())] == heard


async def test_one_press_for_a_row_makes_one_sound_for_it(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SOUNDS._replace(press="row")) as hands:
        await hands.press("space", "space")
    assert sounds_of(voice()) == [["row end", "string change"]] * 2


async def test_a_press_that_changes_nothing_sounds_wrong(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, chevron, settings=SOUNDS) as hands:
        await hands.press("space", "u", "enter")
        assert chevron.held.wrong == 0
        await hands.press("j")
        assert "Undo the knot first" in hands.words
        assert sounds_of(voice())[-1] == ["wrong way"]
        await hands.press("space")
        assert sounds_of(voice())[-1] == ["undone"]
        with monkeypatch.context() as patch:
            patch.setattr(Pieces, "add", full)
            await hands.press("space")
        assert "NOT SAVED, NOT COUNTED" in hands.words
        assert sounds_of(voice())[-1] == ["wrong way"]
        assert chevron.held.piece is not None
        kept.pieces.hold(chevron.held.piece, "somebody else", force=True)
        before = len(voice().said)
        await hands.press("space", "left")
        assert sounds_of(voice())[before:] == [["wrong way"]] * 2


async def test_repeats_of_a_held_key_are_silent(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SOUNDS) as hands:
        await hands.hold("space", 8)
        assert chevron.held.progress.done == 1
        assert sounds_of(voice()) == [["string change"]]


async def test_the_voice_off_leaves_the_sounds_on(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SOUNDS._replace(voice="on")) as hands:
        await hands.press("v")
        assert voice().switched == ["on", "hush", "on"]
        await hands.press("space")
        assert (voice().last, sounds_of(voice())[-1]) == ("", ["string change"])


def test_when_it_was_last_quiet(voice: Callable[[], Recorder]) -> None:
    spoken = PieceVoice(DEFAULTS, lambda why: None)
    assert spoken.quiet_since() == float("-inf")
    voice().quiet_since = None
    assert spoken.quiet_since() is None
    voice().quiet_since = 17.5
    assert spoken.quiet_since() == 17.5


# A tap on the table.


async def test_a_tap_counts_as_a_key_does(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SOUNDS) as hands:
        # From another thread, as it is heard.
        thread = threading.Thread(target=hands.app.heard_tap, args=(time.monotonic(),))
        thread.start()
        thread.join()
        await hands.catch_up()
        assert chevron.held.progress.done == 1
        assert sounds_of(voice()) == [["string change"]]
        at = time.monotonic() + 1
        for tap in (at, at + 0.05, at + 0.5):
            hands.app.heard_tap(tap)
        await hands.catch_up()
        assert chevron.held.progress.done == 3, "the guard takes the second for an echo of the first"


async def test_a_tap_on_another_screen_does_nothing(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("j")
        hands.app.heard_tap(hands.now + 5)
        await hands.press("escape")
        assert chevron.held.progress.done == 0
        hands.app.heard_tap(hands.now + 10)
        await hands.catch_up()
        assert chevron.held.progress.done == 1
    async with sitting(kept, None) as hands:
        hands.app.heard_tap(hands.now + 5)
        await hands.catch_up()
        assert hands.app.open_piece is None


async def test_the_noise_of_a_key_is_no_tap(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space")
        hands.app.heard_tap(hands.now + 0.2)
        await hands.catch_up()
        assert chevron.held.progress.done == 1


async def test_taps_as_fast_as_no_hand_stop_the_bench(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        for number in range(FLOOD):
            hands.app.heard_tap(hands.now + 5 + 0.03 * number)
        await hands.catch_up()
        assert chevron.held.progress.done == 1
        assert not isinstance(hands.app.screen, StepScreen)
