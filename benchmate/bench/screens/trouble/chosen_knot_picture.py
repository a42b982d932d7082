"""The band beside the question which knot is wrong, with the chosen one in its place."""

from benchmate.bench.screens.trouble.lettered_band import CHANGED, CHOSEN, WRONG, Band, draw_band, width_wanted
from benchmate.display.cells import Line
from benchmate.display.palette import Palette
from benchmate.families.registry import zone_of
from benchmate.piece_questions.trouble import known_mistakes
from benchmate.piece_questions.trouble.knot_places import place_across
from benchmate.piece_questions.trouble.what_went_wrong import WhatWentWrong
from benchmate.store.open_piece import OpenPiece

SIGNS = {WRONG: "wrong", CHANGED: "changed"}


def picture_of(
    went: WhatWentWrong, held: OpenPiece, number: int, width: int, height: int, palette: Palette
) -> list[Line]:
    """Exactly `height` lines, none where there is no room; a diagonal band is lettered, with what is known to be wrong.

    `held` is the piece in the colours of the screen.
    """
    part = held.whole.part_of(number)
    if went.possible and went.is_band(number):
        planned, tied = held.changes, held.progress.is_tied
        signs = {
            **dict.fromkeys({**held.made, **planned}, CHANGED),
            **dict.fromkeys(known_mistakes.known(held), WRONG),
        }
        letters = {colour.name: colour.letter for colour in went.colours}
        band = Band(
            held.whole,
            letters,
            lambda step: tied(step) or step in planned,
            {**signs, number: CHOSEN},
            held.whole.step(number).row,
            place_across(held.whole, number),
            title=went.believed_words,
            says=SIGNS,
        )
        return draw_band(band, width_wanted(held.whole, width // 3), height, palette)
    zone = zone_of(part.design.family)
    wide = zone.width_for_choosing(part, width) if zone is not None else 0
    if zone is None or not wide:
        return []
    return zone.draw(part, held.progress, number, wide, height, palette)
