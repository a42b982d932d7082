"""The settings of the voice: what each is called, and the values it can have."""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from benchmate.craft.knots import NAMES, Knot
from benchmate.settings import LEVELS, ON_OR_OFF, RATES, SOUNDS_VOLUMES, VOLUMES, Settings
from benchmate.speech.sounds import Sound
from benchmate.speech.voices import Voice

SAYS = {"full": "full, for learning", "short": "short", "sparse": "sparse, only what changes"}
"""How much the voice says, in words."""
CALLED = {
    "level": "how much it says",
    "rate": "words a minute",
    "volume": "loudness",
    "speaker": "voice",
    "knot_names": "spoken names of the knots",
    "tick": "a soft tick at the end of a run with one string",
    "sounds": "short sounds after each press",
    "sounds_volume": "loudness of the sounds",
    "listen": "two taps on the table are a press",
    "voice": "the voice when the bench opens",
}
"""The settings of the voice, in the order of the list."""
SOUNDS = {
    Sound.DONE: "done",
    Sound.UNDONE: "undone",
    Sound.WRONG_WAY: "nothing changed",
    Sound.ROW_END: "end of a row",
    Sound.STRING_CHANGE: "another string",
}
"""The sounds after a press, in the order in which they are tried out, and what they say."""
UNITS = {"volume": " of 100", "sounds_volume": " % of the voice's"}
"""What follows some of the numbers."""
LIMITS = {"rate": RATES, "volume": VOLUMES, "sounds_volume": SOUNDS_VOLUMES}
"""The settings that are numbers, and their ranges."""
VALUES: Mapping[str, Sequence[str]] = {
    "level": LEVELS,
    "knot_names": tuple(NAMES),
    "tick": ON_OR_OFF,
    "sounds": ON_OR_OFF,
    "listen": ON_OR_OFF,
    "voice": ON_OR_OFF,
}
"""The settings with a few values."""
_STEP = 10
"""By how much one press changes a number."""


class Row(NamedTuple):
    """A setting of the voice: its name, and its value in words."""

    name: str
    says: str


def rows(settings: Settings, voices: Sequence[Voice] | None) -> list[Row]:
    """Every setting with its value now; `voices` are those of the language, None while they are not known."""
    return [Row(name, f"{CALLED[name]}: {_value(settings, name, voices)}") for name in CALLED]


def _value(settings: Settings, name: str, voices: Sequence[Voice] | None) -> str:
    if name == "speaker":
        return speaker(settings, voices)
    return _in_words(name, str(getattr(settings, name))) + UNITS.get(name, "")


def _in_words(name: str, value: str) -> str:
    if name == "knot_names":
        return NAMES[value][Knot.FORWARD_BACKWARD]
    return SAYS[value] if name == "level" else value


def speaker(settings: Settings, voices: Sequence[Voice] | None) -> str:
    """The voice that speaks, in words."""
    language = settings.language
    if voices is None:
        return settings.speaker or f"any for {language}"
    if not voices:
        return f"none here for {language}"
    named = next((voice.name for voice in voices if voice.id == settings.speaker), None)
    if settings.speaker and named is None:
        return f"{settings.speaker}, not on this machine"
    return named or f"any for {language}, now {voices[0].name}"


def values(name: str, voices: Sequence[Voice] | None) -> list[tuple[str, str]]:
    """The values of a setting that is no number, each with its words."""
    if name == "speaker":
        return [("", "any that speaks the language"), *((voice.id, voice.name) for voice in voices or ())]
    return [(value, _in_words(name, value)) for value in VALUES[name]]


def with_value(settings: Settings, name: str, value: str | int) -> Settings:
    """The settings with another value."""
    changed: dict[str, Any] = {name: value}
    return settings._replace(**changed)


def stepped(settings: Settings, name: str, by: int, voices: Sequence[Voice] | None) -> Settings:
    """The settings with the value before or after, or the number a step lower or higher."""
    if name in LIMITS:
        lowest, highest = LIMITS[name]
        return with_value(settings, name, min(highest, max(lowest, getattr(settings, name) + _STEP * by)))
    found = [value for value, _ in values(name, voices)]
    now = getattr(settings, name)
    return with_value(settings, name, found[((found.index(now) if now in found else 0) + by) % len(found)])
