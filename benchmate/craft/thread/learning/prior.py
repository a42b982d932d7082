"""What is expected of a maker's gauge before anything was measured, with the variances that the learning uses.

All are relative: a maker's constant is the shipped one times 1 + c + o. The common part c is the same for all of them:
how tight the maker knots, how thick the thread really is. The own part o is each constant's own. Both are normal with
mean 0. These numbers are estimates of how far makers differ; no published ones were found.
"""

FIELDS = ("made_mm", "carried_mm", "stayed_mm", "waited_mm", "base_mm")
"""The numbers of a gauge that are learned from the thread that strings used."""
COUNT = len(FIELDS)

OWN = 0.14
"""The standard deviation of a constant's own part."""
COMMON = 0.08
"""That of the part common to all, for a thread of known thickness."""
COMMON_WIDE = 0.6
"""The same for a thread that is quite another one than its name says."""
USUAL = 0.005
"""How likely that is for a thread of known thickness."""
UNKNOWN = 0.3
"""How likely it is for a thread of which nothing was said; floss is only where its gauge begins."""

NOISE = (0.03, 0.5)
"""What a string uses varies with what it is expected to need. The median of that standard deviation, and the standard
deviation of its logarithm: it is learned, too."""
TENSION = (0.04, 0.45)
"""The same for the tension of the day, which all strings of a piece share."""
MISTAKEN = 1 / 30
"""How likely an entry is mistaken: a string cut wrong, what is left in place of what was used, another string's."""
MISTAKE = 0.8
"""The standard deviation of the logarithm of what a mistaken entry is, as a share of what it should be."""
LEAST = 0.05
"""No constant is less than this share of the shipped one."""


def commons(wide: float) -> tuple[tuple[float, float], ...]:
    """Each standard deviation of the common part, and how likely it is; the wide one is `wide` likely."""
    return (COMMON, 1 - wide), (COMMON_WIDE, wide)


def covariance_before(common: float) -> list[list[float]]:
    """The covariance of the relative constants."""
    return [[common**2 + OWN**2 * (row == column) for column in range(COUNT)] for row in range(COUNT)]


def precision_before(common: float) -> list[list[float]]:
    """Its inverse."""
    own, shared = 1 / OWN**2, common**2
    taken = own * own * shared / (1 + COUNT * shared * own)
    return [[own * (row == column) - taken for column in range(COUNT)] for row in range(COUNT)]
