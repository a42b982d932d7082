"""What the bench says while prompts are cut off: whoever hears only some of them finds every knot all the same."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.bench.step.bench_voice import BenchVoice
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened
from benchmate.piece_opening import Kept
from benchmate.settings import DEFAULTS
from benchmate.store.held import Held
from tests.charts import seeded
from tests.listening import TOKENS, UNDONE, Listener, Made, made_by
from tests.screen.benches import CHEVRON, STRIPE, begun, written_to
from tests.voices import recorder

MANY = re.compile(r"undo \d+, back to ")
WISHES = st.lists(st.tuples(st.sampled_from(("tie", "tie", "tie", "back", "again")), st.booleans()), max_size=40)
"""What is done, and whether the prompt that follows it is heard to its end."""


@pytest.fixture(params=["chevron", "stripe"])
def sit(kept: Kept, tmp_path: Path, request: pytest.FixtureRequest) -> Callable[[], Held]:
    """A piece, begun anew each time."""
    text = CHEVRON.replace('{css: "#43602f", say: mossy green}', '"#43602f"') if request.param == "chevron" else STRIPE
    file = written_to(tmp_path, text)
    return lambda: begun(kept, file).held


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("by", ["rows", "segments"])
def test_nothing_is_needed_that_was_not_heard(
    sit: Callable[[], Held], level: Level, by: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    ears = recorder(monkeypatch)

    @given(WISHES)
    @seeded
    def hold(wishes: list[tuple[str, bool]]) -> None:
        held = sit()
        held.change_way(by, from_right=False)
        spoken = BenchVoice(DEFAULTS._replace(level=level.value), lambda why: None)
        spoken.switch(on=True)
        ear = ears()
        spoken.tell(held, Happened.RESUMED)
        known = found(held, ear.last, None)
        for wish, heard in wishes:
            last = held.progress.last
            if wish == "tie" and held.progress.next is not None:
                number = held.progress.next
                held.go_on()
                spoken.tell(held, Happened.TIED, [number])
            elif wish == "back" and last is not None:
                held.back()
                spoken.tell(held, Happened.UNDONE, [last])
            else:
                spoken.again(held)
            ear.speaking = not heard
            if heard and held.progress.next is not None:
                known = found(held, ear.last, known)
                assert known == made_by(held.whole, held.progress.next)

    hold()


def found(held: Held, words: str, known: Made | None) -> Made:
    """The knot to tie by what is said now; of all that was said before only the knot that was heard last is `known`.

    The strings are seen as they hang.
    """
    listener = Listener(held.whole.strings)
    for number in held.progress.history:
        listener.ties(made_by(held.whole, number))
    listener.last = known
    if words.startswith("undo "):
        undone, _, words = words.partition(", then ")
        match = UNDONE.fullmatch(MANY.sub("undo ", undone))
        assert match
        assert held.progress.next is not None
        if not words:
            # Without a word more, what has come undone is to be done again: it lies in the hand.
            made = made_by(held.whole, held.progress.next)
            assert TOKENS[match["knot"]] == made.token
            return made
        listener.last = None
    (made,) = listener.hears(words)
    return made
