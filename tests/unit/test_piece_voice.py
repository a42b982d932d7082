"""What the bench says while prompts are cut off: hearing only some of them is enough to find every knot."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened
from benchmate.piece_opening import Kept
from benchmate.piece_voice import PieceVoice
from benchmate.settings import DEFAULTS
from benchmate.store.open_piece import OpenPiece
from tests.charts import seeded
from tests.ear.diagonal import Band, Made
from tests.listening import move_of
from tests.screen.benches import CHEVRON, STRIPE, begun, written_to
from tests.voices import recorder

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
