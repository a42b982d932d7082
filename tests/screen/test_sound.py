"""How the voice sounds: chosen, kept at once, and heard from where it is chosen."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.voice_settings import SoundScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, Settings, read_settings, write_settings
from benchmate.speech.voices import Voice
from benchmate.store import places
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder, recorder

HERE = [
    Voice("gmw/de", "Deutsch", ("de",)),
    Voice("gmw/en", "English (Great Britain)", ("en-gb", "en")),
    Voice("gmw/en-US", "English (America)", ("en-us", "en")),
]
FIRST = "row 1 of 12, plum at 1, forward over mossy green"


@pytest.fixture
def voice(monkeypatch: pytest.MonkeyPatch) -> Callable[[], Recorder]:
    """What the bench says goes to a recorder on a machine with three voices."""
    made = Recorder.__init__

    def make(self: Recorder, report: Callable[[str], None]) -> None:
        made(self, report)
        self.here = HERE

    monkeypatch.setattr(Recorder, "__init__", make)
    return recorder(monkeypatch)


def chosen(hands: Hands) -> str:
    """The line that is chosen."""
    return next(line.strip("> ") for line in hands.lines if line.lstrip().startswith(">"))


async def test_each_setting_is_changed_and_kept_at_once(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("s")
        assert isinstance(hands.app.screen, SoundScreen)
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
        assert chosen(hands) == "voice: any that speaks en, as English (Great Britain)"
        await hands.press("right", "right")
        assert chosen(hands) == "voice: English (America)"
        await hands.press("down", "right")
        assert chosen(hands) == "a soft tick at the end of a run with one string: on"
        await hands.press("down", "left")
        assert chosen(hands) == "the voice when the bench opens: on"
        await hands.press("escape", "space")
        assert chevron.held.progress.done == 1
    expected = DEFAULTS._replace(level="sparse", rate=170, volume=70, speaker="gmw/en-US", tick="on", voice="on")
    assert read_settings(places.settings_file()) == expected


async def test_it_is_heard_from_there_and_then_all_is_as_it_was(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "enter")
        # The step to do now, and the one after it: how much is said shows at the second.
        assert voice().words == [f"{FIRST}. straw at 3, forward over straw"]
        await hands.press("right", "down", "right", "space")
        assert voice().last == "row 1, plum at 1, forward. straw at 3, forward"
        assert voice().said[-1].manner.rate == DEFAULTS.rate + 10
        assert voice().said[-1].tick is None
        await hands.press("up", "up", "up", "right", "enter")
        assert voice().said[-1].tick is not None
        assert chevron.held.progress.done == 0
        await hands.press("s")
        assert voice().switched[-1] == "off", "the voice is not on: nothing is kept ready"
        await hands.press("space")
        assert len(voice().said) == 3


async def test_with_the_voice_on_the_step_is_said_again_afterwards(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("s", "right", "escape")
        assert voice().words == [FIRST, "row 1, plum at 1, forward"]
        assert "off" not in voice().switched


async def test_rate_and_loudness_have_their_ends(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(rate=445, volume=5)) as hands:
        await hands.press("s", "down", "right", "right")
        assert chosen(hands) == "words a minute: 450"
        await hands.press("down", "left", "left")
        assert chosen(hands) == "loudness: 0 of 100"


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        (DEFAULTS._replace(speaker="mac/zoe"), "voice: mac/zoe, which is not here"),
        (DEFAULTS._replace(language="fi"), "voice: none here speaks fi"),
        (DEFAULTS._replace(language="de-AT"), "voice: any that speaks de-AT, as Deutsch"),
        (DEFAULTS._replace(speaker="gmw/de", language="de"), "voice: Deutsch"),
    ],
)
async def test_a_voice_that_is_not_here_is_said(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], settings: Settings, says: str
) -> None:
    async with sitting(kept, chevron, settings=settings) as hands:
        await hands.press("s", "down", "down", "down")
        assert chosen(hands) == says


async def test_why_nothing_can_be_heard_is_said_there(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "enter")
        voice().report("There is no player.")
        await hands.catch_up()
        assert "There is no player." in hands.words
        assert isinstance(hands.app.screen, SoundScreen)
        await hands.press("enter")
        assert "There is no player." not in hands.words


async def test_voices_that_are_found_late_find_nobody(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Callable[[list[Voice]], None]] = []
    monkeypatch.setattr(Recorder, "voices", lambda self, answer: asked.append(answer))
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "down", "down", "down")
        assert chosen(hands) == "voice: any that speaks en"
        await hands.press("right")
        assert chosen(hands) == "voice: any that speaks en"
        asked[0](HERE)
        await hands.catch_up()
        assert chosen(hands) == "voice: any that speaks en, as English (Great Britain)"
        await hands.press("escape", "s", "escape")
        asked[1](HERE)
        await hands.press("space")
        assert chevron.held.progress.done == 1


async def test_what_cannot_be_kept_is_said_and_stays_as_it_was(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    places.settings_file().parent.mkdir(parents=True, exist_ok=True)
    places.settings_file().mkdir()
    async with sitting(kept, chevron) as hands:
        await hands.press("s", "right")
        assert chosen(hands) == "how much it says: full, for learning"
        assert "the settings stay as they" in hands.words
        assert hands.app.settings == DEFAULTS


async def test_in_a_small_window(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.press("s", "up")
        assert "the voice when the bench opens: off" in hands.words
        assert "escape: back" in hands.words


async def test_what_another_window_has_chosen_stays(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        write_settings(places.settings_file(), DEFAULTS._replace(level="short", guard=300))
        await hands.press("s", "down", "right")
        assert chosen(hands) == f"words a minute: {DEFAULTS.rate + 10}"
        assert "how much it says: short" in hands.words
    assert read_settings(places.settings_file()) == DEFAULTS._replace(level="short", guard=300, rate=DEFAULTS.rate + 10)


async def test_a_mistake_in_the_settings_is_said_and_kept_for_its_writer(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        places.settings_file().write_text("level: loud\n", encoding="utf-8")
        await hands.press("s", "right")
        assert "until that is mended" in hands.words
        assert hands.app.settings == DEFAULTS
    assert places.settings_file().read_text(encoding="utf-8") == "level: loud\n"
