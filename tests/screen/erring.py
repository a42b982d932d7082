"""A maker who ties a knot otherwise than charted, and tells the bench what is seen: never more than the screen asks."""

import re
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

from benchmate.bench.screens.trouble.search_screen import SearchingScreen
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.kept import Kept
from benchmate.piece_opening import OpenedPiece
from benchmate.piece_questions.trouble.hanging_colours import lettered
from benchmate.piece_questions.trouble.knot_places import colour_shown, place_of
from benchmate.store.open_piece import OpenPiece
from tests.screen.hands import Hands, sitting

TWELVE = """\
benchmate: 1
title: Reeds at the ford
family: diagonal
colours: {plum: "#5d1a4a", straw: "#e8d48b", moss: "#43602f", ink: "#14213d"}
strings: [plum, moss, straw, ink, plum, moss, moss, plum, ink, straw, moss, plum]
rows:
  - f f f b b b
  - f f b b b
repeats: 13
"""
"""Twelve strings, 143 knots in 26 rows."""
ASKED = re.compile(r"(row \d+, [a-z0-9 -]+): [^:]+\?")


def really_made(held: OpenPiece, made: MadeOtherwise) -> WholePiece:
    """The band in the maker's hands."""
    return held.whole.made_otherwise(made)


def hanging(held: OpenPiece, band: WholePiece) -> list[str]:
    """The colours of the strings as they hang in the maker's hands."""
    strings = band.at_start()
    for number in held.progress.history:
        band.change_places(number, strings)
    return [band.main.design.body.colour_of(string) for string in strings]


def letters(held: OpenPiece) -> dict[str | None, str]:
    """The letter of every colour, and the sign of no knot."""
    return {None: "-", **{colour.name: colour.letter for colour in lettered(held.whole.main.design)}}


def corrections(held: OpenPiece, seen: Sequence[str]) -> list[str]:
    """The keys that correct the strings that hang otherwise, the nearest one first: by arrows, or by its number."""
    believed, count, at = hanging(held, held.whole), len(seen), 0
    wrong = {place for place in range(count) if seen[place] != believed[place]}
    keys: list[str] = []
    while wrong:
        place = min(wrong, key=lambda each: min((each - at) % count, (at - each) % count))
        right, left = (place - at) % count, (at - place) % count
        ways: list[list[str]] = [["right"] * right, ["left"] * left, [*str(place + 1)]]
        fewest = min(ways, key=len)
        keys += fewest
        keys.append(letters(held)[seen[place]])
        wrong.remove(place)
        at = min(place + 1, count)
    return keys


async def tell_strings(hands: Hands, held: OpenPiece, band: WholePiece) -> list[str]:
    """From the wrong-knot screen: types how the strings hang. Returns the keys."""
    keys = ["s", *corrections(held, hanging(held, band)), "enter"]
    await hands.press(*keys)
    await searched(hands)
    return keys


@asynccontextmanager
async def strings_told(
    kept: Kept, opened: OpenedPiece, made: MadeOtherwise, *, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Hands, OpenPiece, WholePiece]]:
    """A maker at the bench, who made these knots so and has typed how the strings hang; the piece; the real band."""
    held = opened.held
    band = really_made(held, made)
    async with sitting(kept, opened, size=size) as hands:
        await hands.press("u")
        await tell_strings(hands, held, band)
        yield hands, held, band


async def searched(hands: Hands) -> None:
    """Waits for the search of the screen in front, if it has one."""
    await hands.catch_up()
    await hands.wait_for(lambda: not isinstance(hands.app.screen, SearchingScreen) or hands.app.screen.search is None)
    await hands.catch_up()


async def answer_all(hands: Hands, held: OpenPiece, band: WholePiece) -> list[str]:
    """Answers what is asked, by what the band in the hands shows, until nothing is asked. Returns the keys."""
    places = {place_of(held, number): number for number in held.progress.history}
    keys: list[str] = []
    while found := ASKED.search(hands.legible):
        key = letters(held)[colour_shown(band, places[found[1]])]
        keys.append(key)
        await hands.press("minus" if key == "-" else key)
        await searched(hands)
    return keys
