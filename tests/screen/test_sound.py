"""The settings of the voice: each change is saved at once, and can be heard there."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.voice_settings import VoiceSettingsScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, Settings, read_settings, write_settings
from benchmate.speech.voices import Voice
from benchmate.store import places
from tests.screen.hands import Hands, sitting
from tests.stand_in_microphone import StandIn
from tests.voices import Recorder, recorder

HERE = [
    Voice("gmw/de", "Deutsch", ("de",)),
    Voice("gmw/en", "English (Great Britain)", ("en-gb", "en")),
    Voice("gmw/en-US", "English (America)", ("en-us", "en")),
]
FIRST = "row 1 of 12, plum, first from the left, forward over mossy green"


@pytest.fixture
def voice(monkeypatch: pytest.MonkeyPatch) -> Callable[[], Recorder]:
    """Records what the bench says, on a machine with three voices."""
    made = Recorder.__init__

    def make(self: Recorder, report: Callable[[str], None]) -> None:
        made(self, report)
        self.here = HERE

    monkeypatch.setattr(Recorder, "__init__", make)
    return recorder(monkeypatch)


def chosen(hands: Hands) -> str:
    """The line that is chosen."""
    return next(line.strip("> ") for line in hands.lines if line.lstrip().startswith(">"))


async def test_each_setting_is_saved_at_once(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], stand_in: StandIn
) -> None:
    stand_in.hears(None)
    async with sitting(kept, chevron) as hands:
        await hands.press("s")
        assert isinstance(hands.app.screen, VoiceSettingsScreen)
        assert chosen(hands) == "how much it says: full, for learning"
        await hands.press("right")
        assert chosen(hands) == "how much it says: short"
        assert read_settings(places.settings_file()) == DEFAULTS._replace(level="short")
        await hands.press("left", "left")
        assert chosen(hands) == "how much it says: sparse, only what changes"
        await hands.press("down", "right", "right")
        assert chosen(hands) == "words a minute: 170"
        await hands.press("down", "left", "left", "left")
        assert chosen(hands) == "loudness: 70 of 100"
        await hands.press("down")
        assert chosen(hands) == "voice: any for en, now English (Great Britain)"
        await hands.press("right", "right")
        assert chosen(hands) == "voice: English (America)"
        await hands.press("down", "right")
        assert chosen(hands) == "spoken names of the knots: lark's head forward"
        await hands.press("down", "right")
        assert chosen(hands) == "a soft tick at the end of a run with one string: on"
        await hands.press("down", "right")
        assert chosen(hands) == "short sounds after each press: on"
        await hands.press("down", "right", "right", "right")
        assert chosen(hands) == "loudness of the sounds: 80 % of the voice's"
        await hands.press("down", "right")
        assert chosen(hands) == "two taps on the table are a press: on"
        await hands.press("down", "left")
        assert chosen(hands) == "the voice when the bench opens: on"
        await hands.press("escape", "space")
        assert chevron.held.progress.done == 1
    expected = DEFAULTS._replace(level="sparse", rate=170, volume=70, speaker="gmw/en-US", tick="on", voice="on")
    expected = expected._replace(knot_names="larks-head", sounds="on", sounds_volume=80, listen="on")
    assert read_settings(places.settings_file()) == expected


async def test_enter_plays_a_sample_and_changes_nothing_else(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "enter")
        # The next two steps: the second shows how much is said.
        assert voice().words == [f"{FIRST}. straw, third from the left, forward over straw"]
        await hands.press("right", "down", "right", "space")
        assert voice().last == "row 1, plum, first from the left, forward. straw, third from the left, forward"
        assert voice().said[-1].options.rate == DEFAULTS.rate + 10
        assert voice().said[-1].heard == []
        await hands.press("down", "down", "down", "down", "right", "enter")
        assert voice().said[-1].heard == ["tick"]
        assert chevron.held.progress.done == 0
        await hands.press("s")
        assert voice().switched[-1] == "off", "the voice is off: it is shut down again"
        await hands.press("space")
        assert len(voice().said) == 3


@pytest.mark.parametrize("spoken", ["on", "off"])
async def test_enter_plays_the_sounds_one_by_one(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], spoken: str
) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(voice=spoken, volume=70)) as hands:
        await hands.press("s", *["down"] * 6, "enter", "enter", "down", "right")
        said = len(voice().said)
        await hands.press(*["enter"] * 4)
        assert "Sound 1 of 5: done." in hands.words
        assert [(each.heard, each.words) for each in voice().said[said - 2 :]] == [
            ([sound], name if spoken == "on" else "")
            for sound, name in (
                ("done", "done"),
                ("undone", "undone"),
                ("wrong way", "nothing changed"),
                ("row end", "end of a row"),
                ("string change", "another string"),
                ("done", "done"),
            )
        ]
        assert {each.sounds.share for each in voice().said if each.sounds} == {0.5, 0.6}
        assert voice().said[-1].options.volume == 0.7
        await hands.press("escape")
        assert voice().switched[-1] == ("hush" if spoken == "on" else "off")
        assert chevron.held.progress.done == 0


async def test_sounds_turned_on_are_ready_at_once_and_off_leave_nothing(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("s", *["down"] * 6, "right")
        assert voice().switched == ["on"]
        await hands.press("escape", "space")
        assert voice().switched == ["on", "hush"]
        assert voice().said[-1].heard == ["string change"]
        await hands.press("s", *["down"] * 6, "left", "escape", "space")
        assert voice().switched == ["on", "hush", "off", "off"]
        assert len(voice().said) == 1


async def test_with_the_voice_on_the_step_is_said_again_afterwards(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("s", "right", "escape")
        assert voice().words == [FIRST, "row 1, plum, first from the left, forward"]
        assert "off" not in voice().switched


async def test_rate_and_loudness_stay_in_range(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(rate=445, volume=5)) as hands:
        await hands.press("s", "down", "right", "right")
        assert chosen(hands) == "words a minute: 450"
        await hands.press("down", "left", "left")
        assert chosen(hands) == "loudness: 0 of 100"


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        (DEFAULTS._replace(speaker="mac/zoe"), "voice: mac/zoe, not on this machine"),
        (DEFAULTS._replace(language="fi"), "voice: none here for fi"),
        (DEFAULTS._replace(language="de-AT"), "voice: any for de-AT, now Deutsch"),
        (DEFAULTS._replace(speaker="gmw/de", language="de"), "voice: Deutsch"),
    ],
)
async def test_a_missing_voice_is_reported(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], settings: Settings, says: str
) -> None:
    async with sitting(kept, chevron, settings=settings) as hands:
        await hands.press("s", "down", "down", "down")
        assert chosen(hands) == says


async def test_the_screen_says_why_nothing_can_be_heard(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "enter")
        voice().report("There is no player.")
        await hands.catch_up()
        assert "There is no player." in hands.words
        assert isinstance(hands.app.screen, VoiceSettingsScreen)
        await hands.press("enter")
        assert "There is no player." not in hands.words


async def test_voices_found_after_the_screen_was_left_are_ignored(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Callable[[list[Voice]], None]] = []
    monkeypatch.setattr(Recorder, "voices", lambda self, answer: asked.append(answer))
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "down", "down", "down")
        assert chosen(hands) == "voice: any for en"
        await hands.press("right")
        assert chosen(hands) == "voice: any for en"
        asked[0](HERE)
        await hands.catch_up()
        assert chosen(hands) == "voice: any for en, now English (Great Britain)"
        await hands.press("escape", "s", "escape")
        asked[1](HERE)
        await hands.press("space")
        assert chevron.held.progress.done == 1


async def test_a_setting_that_cannot_be_saved_is_reported_and_unchanged(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    places.settings_file().parent.mkdir(parents=True, exist_ok=True)
    places.settings_file().mkdir()
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "right")
        assert chosen(hands) == "how much it says: full, for learning"
        assert "no setting was changed" in hands.words
        assert hands.app.settings == DEFAULTS


EACH = (
    *("how much it says", "words a minute", "loudness", "voice", "spoken names of the knots", "a soft tick"),
    *("short sounds", "loudness of the sounds", "two taps on the table", "the voice when"),
)
"""How each setting begins on the screen."""


async def test_in_a_small_window(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.press("s")
        for said in EACH:
            assert chosen(hands).startswith(said)
            assert "escape: back" in hands.words
            await hands.press("down")
        assert chosen(hands).startswith("how much it says")


async def test_settings_from_another_window_are_kept(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        write_settings(places.settings_file(), DEFAULTS._replace(level="short", guard=300))
        await hands.press("s", "down", "right")
        assert chosen(hands) == f"words a minute: {DEFAULTS.rate + 10}"
        assert "how much it says: short" in hands.words
    assert read_settings(places.settings_file()) == DEFAULTS._replace(level="short", guard=300, rate=DEFAULTS.rate + 10)


async def test_a_fault_in_the_settings_file_is_reported_and_the_file_kept(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        places.settings_file().write_text("level: loud\n", encoding="utf-8")
        await hands.press("s", "right")
        assert "fix this first; no setting was changed" in hands.words
        assert hands.app.settings == DEFAULTS
    assert places.settings_file().read_text(encoding="utf-8") == "level: loud\n"
