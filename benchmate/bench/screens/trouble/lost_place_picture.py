"""The band as it is at a place that fits, with the next step marked, or the knot that is asked about."""

from collections.abc import Sequence

from benchmate.bench.screens.trouble.lettered_band import HERE, WRONG, Band, draw_band, titled, width_wanted
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.display.cells import Line
from benchmate.display.palette import Palette
from benchmate.families.registry import trouble_of, zone_of
from benchmate.piece_questions.trouble.hanging_colours import LetteredColour
from benchmate.piece_questions.trouble.knot_places import place_across
from benchmate.piece_questions.trouble.lost_place import LostPlace
from benchmate.piece_questions.trouble.place_questions import Asked, Candidate

NARROW = 60
"""In a window of fewer cells the words need all of them."""
NEAREST, HERE_NOW = "Nearest place", "At this place"
"""What is drawn: while a knot is asked about, and while a place is looked at."""


def picture_of(
    lost: LostPlace,
    place: Candidate,
    asked: Asked | None,
    whole: WholePiece,
    colours: Sequence[LetteredColour],
    width: int,
    height: int,
    palette: Palette,
) -> list[Line]:
    """Exactly `height` lines beside a page `width` cells wide; none where there is no room.

    `whole` is the piece as the place has it, in the colours of the screen.
    """
    if width < NARROW:
        return []
    held, main, most = lost.held, lost.main, 2 * width // 5
    found = lost.found(place)
    marked = _marked(lost, place, asked)
    title = HERE_NOW if asked is None else NEAREST
    trouble, part = trouble_of(main.design.family), whole.main
    if trouble.knows_ways:
        signs = dict.fromkeys(found.made, WRONG)
        if marked is not None and asked is not None:
            signs[marked] = HERE
        seen = marked if marked is not None else main.first + lost.sequence[-1]
        letters = {colour.name: colour.letter for colour in colours}
        tied = set(found.target)
        row, at, says = whole.step(seen).row, place_across(whole, seen), {WRONG: "wrong"}
        band = Band(whole, letters, tied.__contains__, signs, row, at, title=title, says=says)
        return draw_band(band, width_wanted(whole, most), height, palette)
    zone = zone_of(main.design.family)
    wide = 0 if zone is None else zone.width_beside(part, width, height)
    if zone is None or not wide:
        return []
    progress = Progress.resume(whole, held.order, found.target)
    wrong = found.wrong
    if wrong is not None:
        inside = wrong._replace(step=wrong.step - main.first)
        progress.hanging[:] = trouble.lies_instead(part.work, progress.hanging, inside)
        if asked is None:
            # An arrow of a move would point at strands that have gone on since.
            marked = None if lost.in_slots else wrong.step
        # Which part of a thread shows is worked out for the knots of the chart alone.
        if not main.design.is_variegated:
            part = part._replace(work=trouble.as_done(part.work, inside))
    above = titled(title, wide, palette)
    return [*above, *zone.draw(part, progress, marked, wide, height - len(above), palette)]


def _marked(lost: LostPlace, place: Candidate, asked: Asked | None) -> int | None:
    """The knot that is asked about, else the next one; None at the end."""
    if asked is not None and not asked.back:
        return lost.main.first + asked.step
    if asked is not None and place.done >= asked.back:
        return lost.main.first + lost.sequence[place.done - asked.back]
    return None if place.done == len(lost.sequence) else lost.main.first + lost.sequence[place.done]
