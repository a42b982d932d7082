"""The colours of a design as a screen shows them, those of variegated threads with their parts."""

from collections.abc import Collection, Mapping

from benchmate.craft.colours.apart import told_apart
from benchmate.craft.colours.colour import Colour
from benchmate.craft.colours.terminal_colours import ColourDepth, nearest

MOST_WITH_PARTS = {16: 8, 256: 32, 0: 32}
"""Up to how many colours differ on a screen, parts of variegated threads included, by how many a screen shows.

Beyond, only whole threads differ for sure, and every part is shown as what is nearest to it: the parts of one thread
follow one another, and another thread has another tag.
"""
MOST_WITH_PARTS_IN_GREY = 8


def shown_on(colours: Mapping[str, Colour], threads: Collection[str], depth: ColourDepth) -> dict[str, Colour]:
    """The colours by their names. The `threads` among them are chosen together, so that no two look the same."""
    used = [name for name in colours if name in threads]
    plain = [name for name in used if not colours[name].sequence]
    # A part that has the colour of a thread looks like it on the table as well.
    along = dict.fromkeys(value for name in used if colours[name].sequence for value in colours[name].values)
    for name in plain:
        along.pop(colours[name].value, None)
    most = MOST_WITH_PARTS_IN_GREY if depth.greys else MOST_WITH_PARTS[depth.colours]
    most = min(most, len(depth.choice) or most)
    together = [*along] if len(plain) + len(along) <= most else []
    wanted = (*(colours[name].value for name in plain), *together)
    chosen = told_apart(wanted, depth)
    shown = dict(zip(plain, chosen, strict=False))
    of_part = {colours[name].value: shown[name].value for name in reversed(plain)}
    of_part |= {value: each.value for value, each in zip(together, chosen[len(plain) :], strict=True)}

    def as_shown(name: str, colour: Colour) -> Colour:
        if name in shown:
            return colour._replace(**shown[name]._asdict())
        parts = tuple(
            each._replace(value=of_part.get(each.value) or nearest(each.value, depth)) for each in colour.sequence
        )
        return colour._replace(value=nearest(colour.value, depth), sequence=parts)

    return {name: as_shown(name, colour) for name, colour in colours.items()}
