"""What the bench says while prompts are cut off: hearing only some of them is enough to find every knot."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Beside, Happened
from benchmate.craft.wording.spoken_length import seconds
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble import small_trouble
from benchmate.piece_voice import PieceVoice
from benchmate.settings import DEFAULTS
from benchmate.store.open_piece import OpenPiece
from tests.charts import seeded
from tests.ear.diagonal import Band, Made
from tests.listening import move_of
from tests.screen.benches import CHEVRON, STRIPE, begun, written_to
from tests.voices import Recorder, recorder

MANY = re.compile(r"undo (\d+)\b")
PRESSES = st.lists(st.tuples(st.sampled_from(("tie", "tie", "tie", "back", "again")), st.booleans()), max_size=40)
"""What the maker does, and whether the prompt that follows is heard to its end."""


@pytest.fixture(params=["chevron", "stripe"])
def sit(kept: Kept, tmp_path: Path, request: pytest.FixtureRequest) -> Callable[[], OpenPiece]:
    """Starts the piece again at each call."""
    text = CHEVRON.replace('{css: "#43602f", say: mossy green}', '"#43602f"') if request.param == "chevron" else STRIPE
    file = written_to(tmp_path, text)
    return lambda: begun(kept, file).held


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("by", ["rows", "segments"])
def test_every_prompt_is_enough_after_prompts_that_were_cut_off(
    sit: Callable[[], OpenPiece], level: Level, by: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    ears = recorder(monkeypatch)

    @given(PRESSES)
    @settings(seeded, max_examples=50)
    def hold(presses: list[tuple[str, bool]]) -> None:
        held = sit()
        held.change_way(by, from_right=False)
        spoken = PieceVoice(DEFAULTS._replace(level=level.value), lambda why: None)
        spoken.switch(on=True)
        ear = ears()
        spoken.say_step(held, Happened.RESUMED)
        known = found(held, ear.last, None)
        for press, heard in presses:
            last = held.progress.last
            if press == "tie" and held.progress.next is not None:
                number = held.progress.next
                held.finish_step()
                spoken.say_step(held, Happened.TIED, [number])
            elif press == "back" and last is not None:
                held.back()
                spoken.say_step(held, Happened.UNDONE, [last])
            else:
                spoken.again(held)
            ear.speaking = not heard
            if heard and held.progress.next is not None:
                known = found(held, ear.last, known)
                assert known == made_by(held, held.progress.next)

    hold()


def found(held: OpenPiece, words: str, known: Made | None) -> Made:
    """The knot to tie by this prompt; of all earlier prompts, only the knot heard last is `known`.

    The strings are seen as they hang, and the maker knows what was undone.
    """
    ear = Band(held.whole.strings)
    for number in held.progress.history:
        ear.ties(made_by(held, number))
    ear.last = known
    if words.startswith("undo"):
        many = MANY.match(words)
        undone = held.progress.coming(int(many[1]) if many else 1)
        for number in undone:
            ear.ties(made_by(held, number))
        words = ear.undoes(words, len(undone))
        if not words:
            # The knot just undone is the one to tie.
            assert ear.last
            return ear.last
    (made,) = ear.hears(words)
    return made


def made_by(held: OpenPiece, number: int) -> Made:
    """A step as an ear finds it."""
    made = move_of(held.whole.main, number)
    assert isinstance(made, Made)
    return made


# What is said after a step

TIP = "Pull the string at the edge up first"


def spoken_piece(
    sit: Callable[[], OpenPiece], monkeypatch: pytest.MonkeyPatch, level: str = "full"
) -> tuple[Callable[..., str], Recorder, list[float]]:
    """Ties a step and gives what is said then; the voice; and its clock."""
    ears, clock = recorder(monkeypatch), [100.0]
    monkeypatch.setattr("benchmate.piece_voice.time.monotonic", lambda: clock[0])
    held, spoken = sit(), PieceVoice(DEFAULTS._replace(level=level), lambda why: None)
    spoken.switch(on=True)
    spoken.say_step(held, Happened.RESUMED)

    def tie(tip: str = "") -> str:
        number = held.progress.next
        assert number is not None
        held.finish_step()
        spoken.say_step(held, Happened.TIED, [number], beside=Beside(tip=tip))
        return ears().last

    return tie, ears(), clock


@pytest.mark.parametrize("level", list(Level))
def test_what_comes_after_a_step_is_said_at_full_detail_alone(
    sit: Callable[[], OpenPiece], monkeypatch: pytest.MonkeyPatch, level: Level
) -> None:
    tie, _, _ = spoken_piece(sit, monkeypatch, level.value)
    assert tie(TIP).endswith(f". {TIP}") == (level is Level.FULL)


def test_nothing_comes_after_a_step_while_taps_are_listened_for(
    sit: Callable[[], OpenPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    ears = recorder(monkeypatch)
    held, spoken = sit(), PieceVoice(DEFAULTS._replace(listen="on"), lambda why: None)
    spoken.switch(on=True)
    spoken.say_step(held, Happened.RESUMED, beside=Beside(tip=TIP))
    assert TIP not in ears().last


def test_who_cuts_off_only_what_comes_after_a_step_has_heard_the_step(
    sit: Callable[[], OpenPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    tie, _, _ = spoken_piece(sit, monkeypatch)
    tie()
    heard = tie()
    tie, ear, clock = spoken_piece(sit, monkeypatch)
    tie(TIP)
    ear.speaking = True
    clock[0] += 8.0
    assert tie() == heard, "nothing is said again, and nothing is shortened"
    # The next prompt has nothing after it, so it is cut off for as long as it is spoken.
    clock[0] += 8.0
    assert tie(TIP).endswith(TIP) is False, "hands that are quicker than the voice are told no more than the step"


def test_who_cuts_off_the_step_itself_has_not_heard_it(
    sit: Callable[[], OpenPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    tie, ear, clock = spoken_piece(sit, monkeypatch)
    tie()
    ear.speaking = True
    cut_off = tie()
    tie, ear, clock = spoken_piece(sit, monkeypatch)
    tie(TIP)
    ear.speaking = True
    clock[0] += 1.0
    assert tie() == cut_off


@pytest.mark.parametrize("text", small_trouble.ALOUD)
def test_small_trouble_is_said_in_three_seconds(text: str) -> None:
    words = small_trouble.ALOUD[text]
    assert seconds(words) <= 3
    assert 7 <= len(words.split()) <= 10
