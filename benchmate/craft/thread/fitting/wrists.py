"""How thick wrists are, from published measurements, as a help when no wrist is at hand."""

from collections.abc import Mapping
from typing import NamedTuple


class Adults(NamedTuple):
    """The wrists of grown women or men: how many were measured, their mean, and the wrist at each percentile, mm."""

    who: str
    measured: int
    mean_mm: float
    percentiles: Mapping[str, float]


class Children(NamedTuple):
    """The mean wrists of boys and girls of an age, mm, and where they were published."""

    age: int
    boys_mm: float
    girls_mm: float
    source: str


ADULTS_SOURCE = "ANSUR II, US Army personnel, measured in 2012"
ADULTS = (
    Adults(
        "women",
        1986,
        154.79,
        {"1": 138.0, "2.5": 140.0, "5": 142.2, "10": 145.0, "25": 150.0, "50": 154.0, "75": 160.0, "90": 165.0}
        | {"95": 168.0, "97.5": 170.0, "99": 174.0},
    ),
    Adults(
        "men",
        4082,
        175.92,
        {"1": 156.0, "2.5": 159.0, "5": 162.0, "10": 165.0, "25": 170.0, "50": 176.0, "75": 182.0, "90": 187.0}
        | {"95": 191.0, "97.5": 194.0, "99": 198.0},
    ),
)
"""Published: 2012 Anthropometric Survey of U.S. Army Personnel (ANSUR II), wrist circumference."""

_OZTURK, _KHADILKAR = "Öztürk and others, 2017", "Khadilkar and others, 2018"
CHILDREN = (
    Children(3, 104.0, 100.0, _KHADILKAR),
    Children(6, 130.0, 124.8, _OZTURK),
    Children(17, 168.3, 155.8, _OZTURK),
    Children(18, 151.0, 139.0, _KHADILKAR),
)
"""Published means; two studies of different countries, so their ages do not run on from one to the other."""
