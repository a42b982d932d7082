"""The prompts of shipped designs and other talk, spoken by the engine, as the microphone at the bench hears them."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from tests import reference_voice
from tests.reference_voice import Asked
from tests.table_sounds import Random, Sound, speech

T = TypeVar("T")
RATES = (110, 150, 175, 220, 300)
VOLUMES = (0.4, 0.7, 1.0)
VOICES = ("gmw/en", "gmw/en-US", "gmw/en-GB-scotland", "gmw/en-GB-x-rp")
AT_ONCE = 100
"""How many texts the engine is given at once: their sound has to fit in memory."""
TALK = (
    "Did you put the kettle on? I thought you had.",
    "No, she told me that the bus would be late again, because of the works at the bridge.",
    "Ticket, please. That's it. Thank you.",
    "Two, three, four. Stop! What was that?",
    "It took all day to get the cat out of the attic, and then it walked back up.",
    "And now the weather: dry and bright, with a cold wind from the east, and a touch of frost by the coast.",
    "Well, perhaps. But not today.",
    "Ha! Did he really? What did Pat say to that?",
    "Top of the stack, third shelf, next to the black box with the pins.",
)
"""What others say nearby."""


def prompts(random: Random, count: int) -> list[str]:
    """That many different prompts of shipped designs, at all levels."""
    paths = list(shipped())
    found: dict[str, None] = {}
    while len(found) < count:
        path = _one(random, paths)
        for words in _of_a_stretch(random, path, 40):
            found[words] = None
    return list(found)[:count]


def _of_a_stretch(random: Random, path: str, presses: int) -> Iterator[str]:
    file = load(path)
    whole = whole_piece(file.design, None, None)
    order = by_rows(whole)
    at = int(random.integers(0, max(1, whole.size - presses)))
    progress = Progress.resume(whole, order, order.sequence[:at])
    level = _one(random, tuple(Level))
    happened, tied = Happened.RESUMED, list[int]()
    for _ in range(presses):
        yield prompt(whole, progress, happened, tied, level)
        tied, happened = list(progress.coming(1)), Happened.TIED
        if not tied:
            return
        progress.tie(tied[0])


def spoken(random: Random, texts: Sequence[str], voices: Sequence[str] = VOICES) -> list[Sound]:
    """The texts in the engine's voice, at several rates, volumes and in several voices, each with a peak of 1."""
    asked = [Asked(text, _one(random, RATES), _one(random, VOLUMES), _one(random, voices)) for text in texts]
    parts = (asked[start : start + AT_ONCE] for start in range(0, len(asked), AT_ONCE))
    return [speech(samples) for part in parts for samples in reference_voice.spoken(*part)]


def talk_nearby(random: Random) -> list[Sound]:
    """Sentences that others say, each in several voices."""
    voices = [f"{voice}+{variant}" for voice in VOICES for variant in ("f2", "f4", "m3", "m7")]
    return spoken(random, [text for text in TALK for _ in range(4)], voices)


def _one(random: Random, of: Sequence[T]) -> T:
    return of[int(random.integers(len(of)))]
