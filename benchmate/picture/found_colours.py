"""Finds a few colours in a picture, and names for them, when no threads are given."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour_difference import Lab, ciede2000, lab, lab_of
from benchmate.files.css import named_colours
from benchmate.picture.sampling import Levels, colour_counts, shrunk
from benchmate.picture.strips import Strips

if TYPE_CHECKING:
    from PIL.Image import Image

LEAST_DIFFERENCE = 4.0
"""Colours with a smaller CIEDE2000 difference look the same on a band, so they share a thread."""

LEAST_SHARE = 1 / 400
"""A colour that covers less of the picture is only a trace between two others."""

# Neighbouring spots are alike when no channel differs by more levels than this.
_ALIKE = 8
_MOST_KINDS = 4_000
_LONGEST_SIDE = 256
_ROUNDS = 24


class _Kind(NamedTuple):
    """A colour of the picture, its place in Lab, and its number of spots."""

    colour: Levels
    place: Lab
    weight: int


def found_colours(image: "Image | Strips", count: int) -> dict[str, str]:
    """At most `count` colours of an image in mode RGB, name → `#rrggbb`, the ones that cover most of it first.

    Spots on an edge between two colours are a blend of both and are left out, unless they are most of the picture. The
    others are grouped in Lab around `count` centres that start far apart, so the result never varies. Groups that
    hardly differ are joined. A group stands for its commonest colour if that is at least half of it, or else for its
    mean.
    """
    spots = shrunk(image, _LONGEST_SIDE)
    kinds = [
        _Kind(colour, lab_of(*colour), number)
        for number, colour in sorted(_inner_colours(spots), key=lambda each: (-each[0], each[1]))
    ]
    groups = _grouped(kinds, _seeds(kinds, count))
    least = LEAST_SHARE * sum(kind.weight for kind in kinds)
    large = [group for group in groups if _weight(group) >= least]
    if len(large) < len(groups):
        groups = _grouped(kinds, [_mean(group) for group in large])
    groups = sorted(_distinct(groups), key=_weight, reverse=True)
    return _named(map(_colour_of, groups))


def _inner_colours(spots: "Image") -> list[tuple[int, Levels]]:
    """How often each colour occurs in spots that match a neighbour across and a neighbour up or down.

    If those are less than a quarter of all spots, all are counted.
    """
    from PIL import Image, ImageChops

    within = Image.new("L", spots.size, 255)
    for steps in ((1, 0), (0, 1)):
        other = ImageChops.difference(spots, ImageChops.offset(spots, *steps))
        red, green, blue = other.split()
        most = ImageChops.lighter(ImageChops.lighter(red, green), blue)
        before = most.point([255 if level <= _ALIKE else 0 for level in range(256)])
        after = ImageChops.offset(before, *(-step for step in steps))
        within = ImageChops.darker(within, ImageChops.lighter(before, after))
    inner = within.histogram()[255]
    if 4 * inner < spots.width * spots.height:
        return colour_counts(spots, _MOST_KINDS)[1]
    # All other spots get one colour, so they add only one kind.
    masked = Image.new("RGBA", spots.size)
    masked.paste(spots, mask=within)
    masked.putalpha(within)
    return [
        (number, (red, green, blue))
        for number, (red, green, blue, inside) in colour_counts(masked, _MOST_KINDS)[1]
        if inside
    ]


def _squared_distance(one: Lab, other: Lab) -> float:
    """The squared distance in Lab."""
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + (one[2] - other[2]) ** 2


def _seeds(kinds: list[_Kind], count: int) -> list[Lab]:
    """The commonest colour, then repeatedly the one with the greatest weight times distance from all before."""
    seeds = [kinds[0].place]
    left = [_squared_distance(kind.place, seeds[0]) for kind in kinds]
    while len(seeds) < count:
        at = max(range(len(kinds)), key=lambda at: kinds[at].weight * left[at])
        if left[at] == 0:
            break
        seeds.append(kinds[at].place)
        left = [min(before, _squared_distance(kind.place, seeds[-1])) for before, kind in zip(left, kinds, strict=True)]
    return seeds


def _grouped(kinds: list[_Kind], centres: list[Lab]) -> list[list[_Kind]]:
    """The kinds by nearest centre; each centre moves to the mean of its group until none moves (Lloyd 1982)."""
    groups: list[list[_Kind]] = []
    for _ in range(_ROUNDS):
        groups = [[] for _ in centres]
        for kind in kinds:
            away = [_squared_distance(kind.place, centre) for centre in centres]
            groups[away.index(min(away))].append(kind)
        groups = [group for group in groups if group]
        moved = [_mean(group) for group in groups]
        if moved == centres:
            break
        centres = moved
    return groups


def _distinct(groups: list[list[_Kind]]) -> list[list[_Kind]]:
    """The groups, with the two nearest joined until all colours are distinct."""
    groups = list(groups)
    while len(groups) > 1:
        places = [_mean(group) for group in groups]
        pairs = [(one, other) for other in range(len(groups)) for one in range(other)]
        one, other = min(pairs, key=lambda pair: ciede2000(places[pair[0]], places[pair[1]]))
        if ciede2000(places[one], places[other]) >= LEAST_DIFFERENCE:
            break
        groups[one] = groups[one] + groups.pop(other)
    return groups


def _weight(group: list[_Kind]) -> int:
    return sum(kind.weight for kind in group)


def _mean(group: list[_Kind]) -> Lab:
    weight = _weight(group)
    lightness, a, b = (sum(kind.weight * kind.place[axis] for kind in group) / weight for axis in range(3))
    return lightness, a, b


def _colour_of(group: list[_Kind]) -> str:
    """The commonest colour of a group if it is at least half of it, or else the one nearest to its mean."""
    colour = max(group, key=lambda kind: kind.weight)
    if 2 * colour.weight < _weight(group):
        mean = _mean(group)
        colour = min(group, key=lambda kind: _squared_distance(kind.place, mean))
    return "#{:02x}{:02x}{:02x}".format(*colour.colour)


def _named(values: Iterable[str]) -> dict[str, str]:
    """Each value under its nearest CSS name, with a number added if the name is taken."""
    # Of the two spellings of grey, use the one in the rest of the program.
    known = {name: lab(value) for name, value in named_colours().items() if "gray" not in name}
    colours: dict[str, str] = {}
    for value in values:
        place = lab(value)
        name = plain = min(known, key=lambda each: ciede2000(place, known[each]))
        number = 2
        while name in colours:
            name, number = f"{plain}-{number}", number + 1
        colours[name] = value
    return colours
