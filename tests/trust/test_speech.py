"""The voice with a real engine: the right words are heard, and the caller never waits."""

import signal
import time
from collections.abc import Callable
from functools import partial

import pytest

from benchmate.speech.manager import QUIET, SpeechOptions
from benchmate.speech.sounds import Sound, Sounds
from benchmate.speech.speaker import Speaker
from benchmate.speech.voices import Voice, matching
from tests.reference_voice import Asked, rendered
from tests.speaking import FAST, PROMPTS, Reports, Room, begun, heard, say, until

TICK = Sounds((Sound.TICK,), 0.5)
SHORT_WORDS = "string over under left right deep foam row seven next knot band rust done"
SHORTER = 0.77
"""The length of a short word as a share of the word that the rate counts (about five letters and a space). Measured on
this engine.
"""


# What is heard.


def test_the_right_words_are_heard(room: Room, speaker: Speaker, reports: Reports) -> None:
    all_options = [
        SpeechOptions(rate, volume) for rate, volume in ((300, 1.0), (175, 0.5), (450, 0.2), (450, 1.0), (400, 0.7))
    ]
    for text, options in zip(PROMPTS, all_options, strict=True):
        say(speaker, text, options)
    assert room.handed() == list(PROMPTS)
    expected = [Asked(text, options.rate, options.volume) for text, options in zip(PROMPTS, all_options, strict=True)]
    assert heard(room) == rendered(*expected)
    assert reports == []


def test_the_length_of_speech_follows_from_its_words_and_rate(room: Room, speaker: Speaker) -> None:
    words = SHORT_WORDS.split()
    for rate in (350, 450):
        for text in (words[:3], words):
            say(speaker, " ".join(text), SpeechOptions(rate))
        few, all_of_them = (played.seconds for played in room.heard()[-2:])
        # Both include the pause at the end.
        assert (all_of_them - few) / (len(words) - 3) == pytest.approx(SHORTER * 60 / rate, rel=0.15)


def test_rate_and_volume_stay_within_the_limits_of_engines(room: Room, speaker: Speaker, reports: Reports) -> None:
    for options in (SpeechOptions(10**9, 10**9), SpeechOptions(-5, 0.0), SpeechOptions(450, -3.0)):
        say(speaker, "deep", options)
    assert heard(room) == rendered(Asked("deep", 450, 1.0), Asked("deep", 80, 0.0), Asked("deep", 450, 0.0))
    assert [played.loudest == 0 for played in room.heard()] == [False, True, True]
    assert reports == []


def test_a_voice_is_found_by_its_language(room: Room, speaker: Speaker, reports: Reports) -> None:
    found: list[list[Voice]] = []
    speaker.voices(found.append)
    until(lambda: found, "list of voices")
    assert {"en", "de", "fr"} <= {voice.languages[0].split("-")[0] for voice in found[0] if voice.languages}
    american = matching(found[0], "en-us")[0]
    for options in (SpeechOptions(450, language="de-AT"), SpeechOptions(450, voice=american.id), SpeechOptions(450)):
        say(speaker, "eins zwei", options)
    assert heard(room) == rendered(
        *(Asked("eins zwei", 450, voice=voice) for voice in ("gmw/de", american.id, "gmw/en"))
    )
    assert reports == []


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (SpeechOptions(450, voice="gmw/nobody"), "no voice `gmw/nobody`"),
        (SpeechOptions(450, language="xx"), "no voice for the language `xx`"),
        (SpeechOptions(450, voice="a" * 5000), "no voice `aaaa"),
        (SpeechOptions(450, voice="'; touch x\x1b[2J\ud800", language="../x\x00"), "no voice `'; touch x"),
    ],
    ids=["voice", "language", "long", "hostile"],
)
def test_a_missing_voice_is_reported_once_and_another_speaks(
    room: Room, speaker: Speaker, reports: Reports, options: SpeechOptions, message: str
) -> None:
    for _ in range(2):
        say(speaker, "deep", options)
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert len(reports) == 1
    assert message in reports[0]
    assert reports[0].isprintable()
    assert len(reports[0]) < 150
    assert not speaker.failed


def test_a_tick_alone_and_before_words(room: Room, speaker: Speaker, reports: Reports) -> None:
    speaker.say("", FAST, TICK)
    until(lambda: not speaker.speaking, "end of the tick")
    say(speaker, "deep")
    speaker.say("deep", FAST, TICK)
    until(lambda: not speaker.speaking, "end of the prompt")
    tick, word, both = room.heard()
    assert both.samples == tick.samples + word.samples
    assert 0 < tick.loudest < word.loudest
    assert tick.seconds < 0.1
    assert reports == []


# Cutting off.


def test_of_fifty_presses_only_the_last_is_spoken(room: Room, speaker: Speaker, reports: Reports) -> None:
    prompts = [f"press {number}, forward, deep over foam, string four" for number in range(50)]
    speaker.on()
    until(lambda: room.processes(), "spare")
    at = []
    for prompt in prompts:
        at.append(time.monotonic())
        speaker.say(prompt, SpeechOptions(300))
        time.sleep(0.02)
    until(lambda: not speaker.speaking, "end of the last")
    assert heard(room) == rendered(Asked(prompts[-1], 300))
    # Earlier prompts that were begun were cut off: the first, and any that stood alone while this test was delayed.
    alone = [prompt for prompt, now, then in zip(prompts, at, at[1:], strict=False) if then - now >= QUIET]
    assert set(room.handed()) <= {prompts[0], *alone, prompts[-1]}
    assert reports == []


def test_a_prompt_is_cut_off_by_the_next_by_hushing_and_by_switching_off(room: Room, speaker: Speaker) -> None:
    cuts: list[Callable[[], None]] = [
        partial(speaker.say, ""),
        speaker.hush,
        speaker.off,
        partial(speaker.say, "back", FAST),
    ]
    for number, cut in enumerate(cuts, 1):
        speaker.say(PROMPTS[3], SpeechOptions(80))
        until(partial(begun, room, number), "sound")
        assert speaker.speaking
        cut()
        until(lambda: not speaker.speaking, "end")
    assert heard(room) == rendered(Asked("back", 450))


def test_nothing_runs_before_it_is_needed(room: Room, speaker: Speaker) -> None:
    speaker.hush()
    speaker.off()
    assert not speaker.speaking
    room.wait_until_nothing_is_left()
    speaker.on()
    until(lambda: room.processes(), "spare")
    speaker.off()
    until(lambda: not room.processes(), "end")
    speaker.close()
    speaker.close()
    speaker.say("deep")
    speaker.on()
    speaker.say("", FAST, TICK)
    assert not speaker.speaking
    room.wait_until_nothing_is_left()


def test_closing_cuts_off_the_prompt(room: Room, speaker: Speaker) -> None:
    speaker.say(PROMPTS[3], SpeechOptions(80))
    until(room.heard, "sound")
    speaker.close()
    assert not speaker.speaking
    room.wait_until_nothing_is_left()
    assert heard(room) == []


def test_a_stuck_player_does_not_make_the_caller_wait(room: Room, speaker: Speaker) -> None:
    room.player.become("stuck")
    speaker.say("deep", FAST)
    until(lambda: room.heard(), "sound")
    room.signal([process.pid for process in room.processes()], signal.SIGSTOP)
    room.player.become("plays")
    for number in range(2000):
        speaker.say(f"press {number}", FAST)
    until(lambda: not speaker.speaking, "end of the last")
    assert heard(room) == rendered(Asked("press 1999", 450))
