"""Two taps on the table press at the bench, while the setting says so, and never while the bench itself sounds."""

import asyncio
import time
from collections.abc import Callable

import numpy as np

from benchmate.listening import microphone
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from tests.screen.hands import Hands, sitting
from tests.stand_in_microphone import StandIn
from tests.table_sounds import Sound, in_quiet, pair_of, tap
from tests.voices import Recorder

LISTENING = DEFAULTS._replace(listen="on")
AT = 1.1
"""When the taps begin in the sound, in seconds."""


def two_taps() -> Sound:
    """Two taps, and some quiet after them."""
    sound = in_quiet(np.random.default_rng(8), pair_of(np.random.default_rng(9), tap, 0.25), 0.4, -12, -68)
    return np.concatenate([sound, sound[:8000]])


async def until(hands: Hands, happened: Callable[[], bool]) -> None:
    """Waits for what another process brings about."""
    end = time.monotonic() + 20
    while not happened():
        assert time.monotonic() < end
        await asyncio.sleep(0.02)
        await hands.catch_up()


async def test_two_taps_are_one_press(kept: Kept, chevron: OpenedPiece, stand_in: StandIn) -> None:
    stand_in.hears(two_taps())
    async with sitting(kept, chevron, settings=LISTENING) as hands:
        await until(hands, lambda: chevron.held.progress.done == 1)
        # The sound is over, and the stand-in gives no more.
        await until(hands, lambda: microphone.STOPPED in hands.words)
        assert chevron.held.progress.done == 1


async def test_its_own_voice_does_not_press(
    kept: Kept, chevron: OpenedPiece, stand_in: StandIn, voice: Callable[[], Recorder]
) -> None:
    stand_in.hears(two_taps())
    async with sitting(kept, chevron, settings=LISTENING) as hands:
        voice().quiet_since = None
        await until(hands, lambda: microphone.STOPPED in hands.words)
        assert chevron.held.progress.done == 0


async def test_the_setting_starts_and_stops_it_at_once(kept: Kept, chevron: OpenedPiece, stand_in: StandIn) -> None:
    stand_in.hears(None)
    async with sitting(kept, chevron) as hands:
        hands.app.change_settings(lambda settings: settings._replace(rate=200))
        await hands.catch_up()
        assert hands.app._pedal._process is None
        hands.app.change_settings(lambda settings: settings._replace(listen="on"))
        await until(hands, lambda: microphone.NO_MICROPHONE in hands.words)
        hands.app.change_settings(lambda settings: settings._replace(listen="off"))
        assert hands.app._pedal._process is None


async def test_the_noise_of_two_keys_is_no_tap(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "space")
        assert chevron.held.progress.done == 2
        # The two keys, heard as two taps that began with the first.
        hands.app.heard_tap(hands.now - 0.35)
        await hands.catch_up()
        assert chevron.held.progress.done == 2
