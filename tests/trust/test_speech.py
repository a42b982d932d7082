"""The voice with a real engine: what is heard is what was meant, and nobody waits for it."""

import signal
import time
from collections.abc import Callable
from functools import partial

import pytest

from benchmate.speech.manager import QUIET, Manner
from benchmate.speech.speaker import Speaker
from benchmate.speech.voices import Voice, matching
from tests.reference_voice import Asked, rendered
from tests.speaking import FAST, PROMPTS, Reports, Room, begun, heard, say, until

SHORT_WORDS = "string over under left right deep foam row seven next knot band rust done"
SHORTER = 0.77
"""How long a short word is beside one that counts whole for the rate. Measured on this engine, from memory: rates count
words of about five letters and the space after.
"""


# What is heard


def test_the_words_heard_are_the_words_meant(room: Room, speaker: Speaker, reports: Reports) -> None:
    manners = [Manner(rate, volume) for rate, volume in ((300, 1.0), (175, 0.5), (450, 0.2), (450, 1.0), (400, 0.7))]
    for text, manner in zip(PROMPTS, manners, strict=True):
        say(speaker, text, manner)
    assert room.handed() == list(PROMPTS)
    meant = [Asked(text, manner.rate, manner.volume) for text, manner in zip(PROMPTS, manners, strict=True)]
    assert heard(room) == rendered(*meant)
    assert reports == []


def test_speech_is_as_long_as_its_words_and_its_rate_make_it(room: Room, speaker: Speaker) -> None:
    words = SHORT_WORDS.split()
    for rate in (350, 450):
        for text in (words[:3], words):
            say(speaker, " ".join(text), Manner(rate))
        few, all_of_them = (played.seconds for played in room.heard()[-2:])
        # The pause at the end is in both.
        assert (all_of_them - few) / (len(words) - 3) == pytest.approx(SHORTER * 60 / rate, rel=0.15)


def test_rate_and_loudness_stay_within_what_engines_can_do(room: Room, speaker: Speaker, reports: Reports) -> None:
    for manner in (Manner(10**9, 10**9), Manner(-5, 0.0), Manner(450, -3.0)):
        say(speaker, "deep", manner)
    assert heard(room) == rendered(Asked("deep", 450, 1.0), Asked("deep", 80, 0.0), Asked("deep", 450, 0.0))
    assert [played.loudest == 0 for played in room.heard()] == [False, True, True]
    assert reports == []


def test_a_voice_is_found_by_its_language(room: Room, speaker: Speaker, reports: Reports) -> None:
    found: list[list[Voice]] = []
    speaker.voices(found.append)
    until(lambda: found, "list of voices")
    assert {"en", "de", "fr"} <= {voice.languages[0].split("-")[0] for voice in found[0] if voice.languages}
    american = matching(found[0], "en-us")[0]
    for manner in (Manner(450, language="de-AT"), Manner(450, voice=american.id), Manner(450)):
        say(speaker, "eins zwei", manner)
    assert heard(room) == rendered(
        *(Asked("eins zwei", 450, voice=voice) for voice in ("gmw/de", american.id, "gmw/en"))
    )
    assert reports == []


@pytest.mark.parametrize(
    ("manner", "says"),
    [
        (Manner(450, voice="gmw/nobody"), "no voice `gmw/nobody`"),
        (Manner(450, language="xx"), "no voice for the language `xx`"),
        (Manner(450, voice="a" * 5000), "no voice `aaaa"),
        (Manner(450, voice="'; touch x\x1b[2J\ud800", language="../x\x00"), "no voice `'; touch x"),
    ],
    ids=["voice", "language", "long", "hostile"],
)
def test_a_voice_that_is_not_there_is_said_once_and_another_speaks(
    room: Room, speaker: Speaker, reports: Reports, manner: Manner, says: str
) -> None:
    for _ in range(2):
        say(speaker, "deep", manner)
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert len(reports) == 1
    assert says in reports[0]
    assert reports[0].isprintable()
    assert len(reports[0]) < 150
    assert not speaker.failed


def test_a_tick_alone_and_before_words(room: Room, speaker: Speaker, reports: Reports) -> None:
    speaker.tick(0.5)
    until(lambda: not speaker.speaking, "end of the tick")
    say(speaker, "deep")
    speaker.say("deep", FAST, tick=0.5)
    until(lambda: not speaker.speaking, "end of the prompt")
    tick, word, both = room.heard()
    assert both.samples == tick.samples + word.samples
    assert 0 < tick.loudest < word.loudest
    assert tick.seconds < 0.1
    assert reports == []


# Cutting off


def test_of_fifty_presses_only_the_last_is_spoken(room: Room, speaker: Speaker, reports: Reports) -> None:
    prompts = [f"press {number}, forward, deep over foam, string four" for number in range(50)]
    speaker.on()
    until(lambda: room.processes(), "spare")
    at = []
    for prompt in prompts:
        at.append(time.monotonic())
        speaker.say(prompt, Manner(300))
        time.sleep(0.02)
    until(lambda: not speaker.speaking, "end of the last")
    assert heard(room) == rendered(Asked(prompts[-1], 300))
    # What was begun before was cut off: the first, and what stood alone for a while as this test was held up.
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
        speaker.say(PROMPTS[3], Manner(80))
        until(partial(begun, room, number), "sound")
        assert speaker.speaking
        cut()
        until(lambda: not speaker.speaking, "end")
    assert heard(room) == rendered(Asked("back", 450))


def test_nothing_runs_unless_it_is_used(room: Room, speaker: Speaker) -> None:
    speaker.hush()
    speaker.off()
    assert not speaker.speaking
    assert room.left() == []
    speaker.on()
    until(lambda: room.processes(), "spare")
    speaker.off()
    until(lambda: not room.processes(), "end")
    speaker.close()
    speaker.close()
    speaker.say("deep")
    speaker.on()
    speaker.tick()
    assert not speaker.speaking
    assert room.left() == []


def test_closing_cuts_off_what_is_said(room: Room, speaker: Speaker) -> None:
    speaker.say(PROMPTS[3], Manner(80))
    until(room.heard, "sound")
    speaker.close()
    assert not speaker.speaking
    assert room.left() == []
    assert heard(room) == []


def test_nobody_waits_for_what_is_stuck(room: Room, speaker: Speaker) -> None:
    room.player.become("stuck")
    speaker.say("deep", FAST)
    until(lambda: room.heard(), "sound")
    room.signal([process.pid for process in room.processes()], signal.SIGSTOP)
    room.player.become("plays")
    for number in range(2000):
        speaker.say(f"press {number}", FAST)
    until(lambda: not speaker.speaking, "end of the last")
    assert heard(room) == rendered(Asked("press 1999", 450))
