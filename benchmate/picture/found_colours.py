"""A few colours for a picture whose maker named no threads, found in the picture itself, and names for them."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour_difference import Lab, ciede2000, lab, lab_of
from benchmate.files.css import named_colours
from benchmate.picture.sampling import Levels, colour_counts, shrunk

if TYPE_CHECKING:
    from PIL.Image import Image

TOLD_APART = 4.0
"""Colours of a smaller CIEDE2000 difference are hardly told apart on a band, and one thread does for both."""

LEAST_SHARE = 1 / 400
"""What covers less of the picture is a trace between two colours rather than a colour of its own."""

# Neighbouring spots are alike when no channel differs by more levels.
_ALIKE = 8
_MOST_KINDS = 4_000
_LONGEST_SIDE = 256
_ROUNDS = 24


class _Kind(NamedTuple):
    """A colour of the picture, where it lies in Lab, and in how many spots it was seen."""

    colour: Levels
    place: Lab
    weight: int


def found_colours(image: "Image", count: int) -> dict[str, str]:
    """At most `count` colours for an image in mode RGB, name → `#rrggbb`, those that cover most of it first.

    Spots on the edge between two colours are a blend of both and are left out, unless little else is there. The others
    are grouped in Lab around `count` centres, which begin far apart: nothing is left to chance. Groups that hardly
    differ become one; a group of which at least half is one colour stands for that colour, another for its mean.
    """
    spots = shrunk(image, _LONGEST_SIDE)
    kinds = [
        _Kind(colour, lab_of(*colour), number)
        for number, colour in sorted(_seen_within(spots), key=lambda each: (-each[0], each[1]))
    ]
    groups = _grouped(kinds, _seeds(kinds, count))
    least = LEAST_SHARE * sum(kind.weight for kind in kinds)
    large = [group for group in groups if _weight(group) >= least]
    if len(large) < len(groups):
        groups = _grouped(kinds, [_mean(group) for group in large])
    groups = sorted(_told_apart(groups), key=_weight, reverse=True)
    return _named(map(_colour_of, groups))


def _seen_within(spots: "Image") -> list[tuple[int, Levels]]:
    """How often each colour was seen in spots that are like a neighbour across and like a neighbour up or down.

    Of all spots, where that is not a quarter of them.
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
    # The others all take on one colour, so that they make few kinds.
    dressed = Image.new("RGBA", spots.size)
    dressed.paste(spots, mask=within)
    dressed.putalpha(within)
    return [
        (number, (red, green, blue))
        for number, (red, green, blue, inside) in colour_counts(dressed, _MOST_KINDS)[1]
        if inside
    ]


def _apart(one: Lab, other: Lab) -> float:
    """The square of the distance in Lab."""
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + (one[2] - other[2]) ** 2


def _seeds(kinds: list[_Kind], count: int) -> list[Lab]:
    """The commonest colour, then again and again the one of which most lies farthest from all before."""
    seeds = [kinds[0].place]
    left = [_apart(kind.place, seeds[0]) for kind in kinds]
    while len(seeds) < count:
        at = max(range(len(kinds)), key=lambda at: kinds[at].weight * left[at])
        if left[at] == 0:
            break
        seeds.append(kinds[at].place)
        left = [min(before, _apart(kind.place, seeds[-1])) for before, kind in zip(left, kinds, strict=True)]
    return seeds


def _grouped(kinds: list[_Kind], centres: list[Lab]) -> list[list[_Kind]]:
    """The kinds by nearest centre, each centre moved to the mean of its group until none moves (Lloyd 1982)."""
    groups: list[list[_Kind]] = []
    for _ in range(_ROUNDS):
        groups = [[] for _ in centres]
        for kind in kinds:
            away = [_apart(kind.place, centre) for centre in centres]
            groups[away.index(min(away))].append(kind)
        groups = [group for group in groups if group]
        moved = [_mean(group) for group in groups]
        if moved == centres:
            break
        centres = moved
    return groups


def _told_apart(groups: list[list[_Kind]]) -> list[list[_Kind]]:
    """The groups, the two nearest joined for as long as their colours are not told apart."""
    groups = list(groups)
    while len(groups) > 1:
        places = [_mean(group) for group in groups]
        pairs = [(one, other) for other in range(len(groups)) for one in range(other)]
        one, other = min(pairs, key=lambda pair: ciede2000(places[pair[0]], places[pair[1]]))
        if ciede2000(places[one], places[other]) >= TOLD_APART:
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
    """The commonest colour of a group where half of it has that colour, else the one nearest to its mean."""
    colour = max(group, key=lambda kind: kind.weight)
    if 2 * colour.weight < _weight(group):
        mean = _mean(group)
        colour = min(group, key=lambda kind: _apart(kind.place, mean))
    return "#{:02x}{:02x}{:02x}".format(*colour.colour)


def _named(values: Iterable[str]) -> dict[str, str]:
    """Each value under the CSS name nearest to it, with a number where the name is taken already."""
    # Of two names for one grey, the one that is spelt as the rest of the program is.
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
