"""How different two colours look, and how colours look to a colour-blind person. Colours are `#rrggbb` in sRGB."""

from functools import lru_cache
from math import atan2, cos, exp, hypot, pi, sin, sqrt
from typing import Literal

Lab = tuple[float, float, float]
"""A colour in CIE L*a*b* under D65 for the 2° observer: lightness from 0 to 100, then red to green, yellow to blue."""

Kind = Literal["protan", "deutan", "tritan"]
"""The missing cones: for long, middle or short waves."""

# sRGB to XYZ: IEC 61966-2-1. White is the sum of each row, so that greys have no hue at all.
_TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
_WHITE_X, _WHITE_Y, _WHITE_Z = map(sum, _TO_XYZ)

# CIE 15:2004: below (6/29)³ a straight line replaces the cube root.
_KNEE = (6 / 29) ** 3

MATRICES: dict[Kind, tuple[tuple[float, float, float], ...]] = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
"""From linear red, green and blue to what a person without one kind of cones sees.

Machado, Oliveira & Fernandes 2009, "A Physiologically-based Model for Simulation of Color Vision Deficiency", the
matrices of severity 1.0.
"""

_ROUND, _HALF_ROUND = 2 * pi, pi
_POW25_7 = 25.0**7
# Opposite hues count as opposite in spite of rounding in the two arc tangents.
_TIE = 1e-12


def linear(channel: float) -> float:
    """Light, 0 to 1, of an sRGB channel from 0 to 1 (IEC 61966-2-1)."""
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def encoded(light: float) -> float:
    """The sRGB channel, 0 to 1, for light from 0 to 1 (IEC 61966-2-1): the inverse of `linear`."""
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


LIGHT = tuple(linear(level / 255) for level in range(256))
"""The light, 0 to 1, of each of the 256 levels of an sRGB channel."""


@lru_cache(maxsize=4096)
def lab(value: str) -> Lab:
    """CIE L*a*b* of a colour `#rrggbb`."""
    return lab_of(*levels(value))


def levels(value: str) -> tuple[int, int, int]:
    """Red, green and blue, 0 to 255, of a colour `#rrggbb`."""
    return int(value[1:3], 16), int(value[3:5], 16), int(value[5:7], 16)


def lab_of(red: int, green: int, blue: int) -> Lab:
    """CIE L*a*b* (CIE 15:2004, 8.2.1; D65, 2°) of sRGB levels from 0 to 255."""
    lights = LIGHT[red], LIGHT[green], LIGHT[blue]
    x, y, z = (row[0] * lights[0] + row[1] * lights[1] + row[2] * lights[2] for row in _TO_XYZ)
    over_x, over_y, over_z = _root(x / _WHITE_X), _root(y / _WHITE_Y), _root(z / _WHITE_Z)
    return 116 * over_y - 16, 500 * (over_x - over_y), 200 * (over_y - over_z)


def lights_of(colour: Lab) -> tuple[float, float, float]:
    """The light of red, green and blue in a colour; one that no screen can show has some below 0 or above 1."""
    lightness, a, b = colour
    y = (lightness + 16) / 116
    # CIE 15:2004, 8.2.1, and IEC 61966-2-1, solved for red, green and blue.
    x, y, z = (_cubed(share) * white for share, white in ((y + a / 500, 0.9505), (y, 1.0), (y - b / 200, 1.0890)))
    return (
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    )


def _cubed(share: float) -> float:
    return share**3 if share > 6 / 29 else (share - 4 / 29) * 108 / 841


def as_value(lights: tuple[float, float, float]) -> str:
    """The colour `#rrggbb` of these lights of red, green and blue, each kept within 0 and 1."""
    return "#" + "".join(f"{round(255 * encoded(min(1.0, max(0.0, light)))):02x}" for light in lights)


def _root(share: float) -> float:
    return share ** (1 / 3) if share > _KNEE else share * 841 / 108 + 4 / 29


def ciede2000(one: Lab, other: Lab, kl: float = 1.0, kc: float = 1.0, kh: float = 1.0) -> float:
    """The CIEDE2000 difference of two colours: 0 for equal ones, about 1 for a difference just visible side by side.

    `kl`, `kc` and `kh` are the parametric factors of lightness, chroma and hue. Sharma, Wu & Dalal 2005, "The CIEDE2000
    Color-Difference Formula: Implementation Notes, Supplementary Test Data, and Mathematical Observations", equations
    2 to 22. Hues that are exactly opposite count as 180° apart, and the mean hue is half their sum.
    """
    lightness_1, a_1, b_1 = one
    lightness_2, a_2, b_2 = other
    mean_chroma_7 = ((hypot(a_1, b_1) + hypot(a_2, b_2)) / 2) ** 7
    stretch = 1.5 - 0.5 * sqrt(mean_chroma_7 / (mean_chroma_7 + _POW25_7))
    a_1, a_2 = a_1 * stretch, a_2 * stretch
    chroma_1, chroma_2 = hypot(a_1, b_1), hypot(a_2, b_2)
    hue_1, hue_2 = atan2(b_1, a_1) % _ROUND, atan2(b_2, a_2) % _ROUND

    apart, mean_hue = hue_2 - hue_1, hue_1 + hue_2
    if chroma_1 * chroma_2 == 0:
        apart, mean_hue = 0.0, hue_1 if chroma_1 else hue_2
    elif abs(apart) <= _HALF_ROUND + _TIE:
        mean_hue /= 2
    else:
        apart += _ROUND if apart < 0 else -_ROUND
        mean_hue = (mean_hue + (_ROUND if mean_hue < _ROUND else -_ROUND)) / 2

    mean_chroma = (chroma_1 + chroma_2) / 2
    off_middle = ((lightness_1 + lightness_2) / 2 - 50) ** 2
    crossing = (
        1
        - 0.17 * cos(mean_hue - pi / 6)
        + 0.24 * cos(2 * mean_hue)
        + 0.32 * cos(3 * mean_hue + pi / 30)
        - 0.20 * cos(4 * mean_hue - 63 * pi / 180)
    )
    mean_chroma_7 = mean_chroma**7
    around_blue = exp(-(((mean_hue * 180 / pi - 275) / 25) ** 2))
    turn = -sin(pi / 3 * around_blue) * 2 * sqrt(mean_chroma_7 / (mean_chroma_7 + _POW25_7))

    in_lightness = (lightness_2 - lightness_1) / (kl * (1 + 0.015 * off_middle / sqrt(20 + off_middle)))
    in_chroma = (chroma_2 - chroma_1) / (kc * (1 + 0.045 * mean_chroma))
    in_hue = 2 * sqrt(chroma_1 * chroma_2) * sin(apart / 2) / (kh * (1 + 0.015 * mean_chroma * crossing))
    # Rounding may leave equal colours slightly below zero.
    return sqrt(max(0.0, in_lightness**2 + in_chroma**2 + in_hue**2 + turn * in_chroma * in_hue))


@lru_cache(maxsize=1 << 15)
def difference(value: str, other: str) -> float:
    """The CIEDE2000 difference of two colours `#rrggbb`."""
    return ciede2000(lab(value), lab(other))


def seen_with(value: str, kind: Kind) -> str:
    """The colour `#rrggbb` as a person without one kind of cones sees it, as `#rrggbb`.

    Machado, Oliveira & Fernandes 2009 at severity 1.0, on linear RGB, each channel kept within 0 and 1.
    """
    lights = [LIGHT[level] for level in levels(value)]
    red, green, blue = (sum(part * light for part, light in zip(row, lights, strict=True)) for row in MATRICES[kind])
    return as_value((red, green, blue))
