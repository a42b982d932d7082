"""The voices of an engine, and which of them speak a language."""

from collections.abc import Iterable
from typing import NamedTuple

FAR = 3
"""The distance of a voice that does not speak the language."""


class Voice(NamedTuple):
    """One voice: its id on this machine, its name to show, and the tags of the languages it speaks."""

    id: str
    name: str
    languages: tuple[str, ...]


def matching(voices: Iterable[Voice], language: str) -> list[Voice]:
    """The voices that speak `language` (a tag such as `en` or `de-AT`), nearest first, otherwise in the given order.

    For `en`: voices tagged `en`, then one whose id ends in `en`, then all tagged `en-…`. If there is none for `de-AT`,
    those for `de`. Ids differ between platforms, so settings can rely only on a language.
    """

    known = list(voices)
    wanted = _tag(language)
    while wanted:
        near = {voice: _distance(voice, wanted) for voice in known}
        found = [voice for voice in known if near[voice] < FAR]
        if found:
            return sorted(found, key=near.__getitem__)
        wanted = wanted.rpartition("-")[0]
    return []


def _distance(voice: Voice, wanted: str) -> int:
    tags = list(map(_tag, voice.languages))
    if wanted in tags:
        return 0
    if not any(tag.startswith(wanted + "-") for tag in tags):
        return FAR
    return 1 if _tag(voice.id.rpartition("/")[2]) == wanted else 2


def _tag(language: str) -> str:
    return language.replace("_", "-").lower()
