"""What a microphone at the bench hears, made here: taps and claps, the noises of a table, speech, and the room around.

A sound is an array of samples at `RATE`, its peak 1 where nothing else is said; loudness is in decibels of full scale.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

RATE = 16000
SPOKEN = 22050
"""Samples a second of the speech engine."""

Sound = npt.NDArray[np.float64]
Random = np.random.Generator


def level(decibels: float) -> float:
    """The amplitude of a loudness in decibels of full scale."""
    return float(10 ** (decibels / 20))


def to_peak(sound: Sound, decibels: float) -> Sound:
    """The sound with its peak at that loudness."""
    peak = np.abs(sound).max()
    return sound if peak == 0 else sound * (level(decibels) / peak)


def as_bytes(sound: Sound) -> bytes:
    """The sound as a microphone hands it over: 16 bits, clipped at full scale."""
    return np.clip(np.round(sound * 32767), -32768, 32767).astype("<i2").tobytes()


def band(sound: Sound, low: float, high: float) -> Sound:
    """The sound between two frequencies, with soft edges."""
    spectrum = np.fft.rfft(sound)
    at = np.maximum(np.fft.rfftfreq(len(sound), 1 / RATE), 1.0)
    spectrum *= 1 / (1 + (low / at) ** 4) / (1 + (at / high) ** 4)
    return np.fft.irfft(spectrum, len(sound))


def noise(random: Random, seconds: float, low: float = 20.0, high: float = 7000.0) -> Sound:
    """Noise of one loudness between two frequencies."""
    return band(random.standard_normal(max(32, round(seconds * RATE))), low, high)


def _fading(seconds: float, decay: float, rise: float = 0.0005) -> Sound:
    """An envelope that rises, and falls to a third in every `decay` seconds."""
    at = np.arange(round(seconds * RATE)) / RATE
    return np.minimum(1.0, at / rise) * np.exp(-at / decay)


def _ringing(random: Random, seconds: float, tones: Sequence[float], decay: float) -> Sound:
    at = np.arange(round(seconds * RATE)) / RATE
    parts = [
        random.uniform(0.3, 1.0)
        * np.sin(2 * np.pi * tone * at + random.uniform(0, 6.3))
        * np.exp(-at / (decay * random.uniform(0.5, 1.2)))
        for tone in tones
    ]
    return np.asarray(np.sum(parts, axis=0)) * np.minimum(1.0, at / 0.0005)


def joined(sounds: Sequence[Sound], at: Sequence[float]) -> Sound:
    """The sounds, each beginning at its second."""
    places = [round(second * RATE) for second in at]
    whole = np.zeros(max(place + len(sound) for place, sound in zip(places, sounds, strict=True)))
    for place, sound in zip(places, sounds, strict=True):
        whole[place : place + len(sound)] += sound
    return whole


def in_room(random: Random, sound: Sound, metres: float) -> Sound:
    """The sound with the echo of a living room, more of it from further away."""
    lasting = random.uniform(0.2, 0.55)
    at = np.arange(round(lasting * RATE)) / RATE
    tail = random.standard_normal(len(at)) * 10 ** (-3 * at / lasting) * (at > 0.003)
    tail = band(tail, 100, 5000)
    echo = tail / np.sqrt(np.sum(tail**2)) * min(2.0, 0.35 * metres)
    for _ in range(4):
        echo[round(random.uniform(0.002, 0.02) * RATE)] += random.uniform(-0.4, 0.4)
    echo[0] = 1.0
    length = len(sound) + len(echo)
    size = 1 << length.bit_length()
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(echo, size), size)[:length]


# Presses


def tap(random: Random) -> Sound:
    """A finger, a knuckle or the flat hand on a table."""
    modes = random.uniform(110, 1500, size=random.integers(3, 6))
    body = _ringing(random, 0.15, [float(mode) for mode in modes], random.uniform(0.006, 0.025))
    skin = noise(random, 0.15, 300, random.uniform(2000, 6000))
    skin = skin / np.abs(skin).max() * _fading(0.15, random.uniform(0.002, 0.008), random.uniform(0.0003, 0.002))
    return to_peak(body / np.abs(body).max() + random.uniform(0.3, 1.5) * skin, 0)


def clap(random: Random) -> Sound:
    """Two hands, the palms more or less hollow."""
    low = random.uniform(400, 1200)
    times = [0.0, *sorted(random.uniform(0.002, 0.012, size=random.integers(0, 3)))]
    parts = [
        random.uniform(0.5, 1.0) * noise(random, 0.15, low, random.uniform(2500, 6000)) * _fading(0.15, decay)
        for decay in random.uniform(0.004, 0.018, size=len(times))
    ]
    return to_peak(joined(parts, times), 0)


# Noises of the table


def cup(random: Random) -> Sound:
    """A cup or a glass put down: one knock, and often a smaller one as it comes to rest."""
    modes = [float(each) for each in random.uniform(90, 900, size=3)]
    rings = [float(each) for each in random.uniform(1200, 5000, size=3)]
    thud = _ringing(random, 0.3, modes, random.uniform(0.01, 0.03))
    ring = random.uniform(0.0, 0.6) * _ringing(random, 0.3, rings, random.uniform(0.01, 0.08))
    knock = to_peak(thud + ring + 0.4 * noise(random, 0.3) * _fading(0.3, 0.004), 0)
    if random.random() < 0.4:
        return knock
    later = random.uniform(0.03, 0.16)
    return joined([knock, random.uniform(0.15, 0.7) * knock], [0, later])


def laid_down(random: Random) -> Sound:
    """Scissors, a pin box or a spool laid down: a knock, a clatter of smaller ones, some metal."""
    rings = [float(each) for each in random.uniform(900, 6500, size=5)]
    knocks, at, here, loud = [], [], 0.0, 1.0
    for _ in range(random.integers(1, 5)):
        part = _ringing(random, 0.2, rings, random.uniform(0.005, 0.04))
        part = part / np.abs(part).max() + noise(random, 0.2, 200, 4000) * 0.3 * _fading(0.2, 0.005)
        knocks.append(loud * part)
        at.append(here)
        here, loud = here + random.uniform(0.015, 0.14), loud * random.uniform(0.3, 0.95)
    return to_peak(joined(knocks, at), 0)


def snip(random: Random) -> Sound:
    """Scissors that cut a thread: a scrape that ends in a click, and often the opening after it."""
    scrape = noise(random, random.uniform(0.04, 0.18), 1800, 7000)
    scrape *= np.linspace(0.2, 1.0, len(scrape)) / np.abs(scrape).max() * random.uniform(0.1, 0.5)
    click = noise(random, 0.06, 1000, 7000) * _fading(0.06, random.uniform(0.003, 0.012))
    closed = joined([scrape, click / np.abs(click).max()], [0, len(scrape) / RATE])
    if random.random() < 0.5:
        return to_peak(closed, 0)
    return to_peak(joined([closed, 0.4 * scrape[::-1]], [0, random.uniform(0.25, 0.6)]), 0)


def snips(random: Random) -> Sound:
    """One snip, or up to four of them."""
    times = np.cumsum([0.0, *random.uniform(0.25, 0.7, size=random.integers(0, 4))])
    return to_peak(joined([random.uniform(0.5, 1) * snip(random) for _ in times], [float(each) for each in times]), 0)


def typing(random: Random) -> Sound:
    """A few keys of a keyboard, down and up."""
    parts, at, here = [], [], 0.0
    for _ in range(random.integers(1, 40)):
        for later, loud in ((0.0, random.uniform(0.5, 1)), (random.uniform(0.06, 0.12), random.uniform(0.1, 0.4))):
            key = noise(random, 0.05, random.uniform(200, 1500), 6000) * _fading(0.05, random.uniform(0.002, 0.01))
            parts.append(loud * key / np.abs(key).max())
            at.append(here + later)
        here += random.uniform(0.09, 0.4)
    return to_peak(joined(parts, at), 0)


def rustle(random: Random) -> Sound:
    """Threads drawn over one another, or paper."""
    seconds = random.uniform(0.2, 2.0)
    soft = noise(random, seconds, 1500, 7000)
    crackle = (random.random(len(soft)) < 0.003) * random.exponential(1.0, len(soft))
    envelope = np.abs(band(random.standard_normal(len(soft)), 0.5, 6))
    return to_peak((soft / np.abs(soft).max() + 0.3 * band(crackle, 1000, 6000)) * envelope * np.hanning(len(soft)), 0)


def creak(random: Random) -> Sound:
    """A chair: sticking and slipping, at first slowly or at last."""
    rate = np.linspace(random.uniform(8, 60), random.uniform(8, 60), 60)
    at = np.cumsum(1 / rate)
    at = at[at < random.uniform(0.2, 1.2)]
    tones = [float(each) for each in random.uniform(200, 2500, size=4)]
    loud = random.uniform(0.3, 1.0, size=max(1, len(at)))
    parts = [each * _ringing(random, 0.08, tones, 0.01) for each in loud]
    return to_peak(joined(parts, [float(each) for each in at] or [0.0]), 0)


def steps(random: Random) -> Sound:
    """Somebody walks by."""
    times = np.cumsum(random.uniform(0.45, 0.65, size=random.integers(3, 12)))
    parts = [
        random.uniform(0.4, 1)
        * to_peak(noise(random, 0.2, 60, 600) * _fading(0.2, random.uniform(0.02, 0.05), 0.006), 0)
        for _ in times
    ]
    return joined(parts, [float(each) for each in times])


def beads(random: Random) -> Sound:
    """A bead or a pin that falls and bounces, sooner each time."""
    here, gap, loud = 0.0, random.uniform(0.15, 0.4), 1.0
    parts, at = [], []
    while gap > 0.01:
        tones = [float(each) for each in random.uniform(1500, 6000, size=3)]
        parts.append(loud * _ringing(random, 0.08, tones, 0.006))
        at.append(here)
        here, gap, loud = here + gap, gap * random.uniform(0.6, 0.8), loud * random.uniform(0.5, 0.8)
    return to_peak(joined(parts, at), 0)


class Noise(NamedTuple):
    """A noise of the table: how to make it, how many there are in an hour, and how loud their peaks are."""

    name: str
    make: Callable[[Random], Sound]
    an_hour: int
    loud: tuple[float, float]
    metres: float


NOISES = (
    Noise("thread rustle", rustle, 240, (-48, -30), 0.4),
    Noise("chair creak", creak, 40, (-40, -18), 1.0),
    Noise("scissors snipping", snips, 80, (-40, -20), 0.4),
    Noise("scissors laid down", laid_down, 40, (-32, -10), 0.5),
    Noise("cup put down", cup, 20, (-32, -6), 0.5),
    Noise("typing", typing, 40, (-42, -22), 0.4),
    Noise("steps", steps, 20, (-46, -28), 3.0),
    Noise("beads", beads, 10, (-42, -22), 0.6),
)
"""The noises of an hour at a busy table."""


def ambience(random: Random, seconds: float, hum: float, hiss: float) -> Sound:
    """Hum of the mains and hiss, at these loudnesses, the hiss swelling slowly."""
    at = np.arange(round(seconds * RATE)) / RATE
    mains = sum(np.sin(2 * np.pi * 50 * times * at + random.uniform(0, 6.3)) / times for times in (1, 2, 3, 5))
    swell = 1 + 0.4 * np.sin(2 * np.pi * at / random.uniform(4, 11))
    return np.asarray(level(hum) * mains + level(hiss) * random.standard_normal(len(at)) * swell)


def spread(random: Random, whole: Sound, noise_of: Noise, count: int) -> None:
    """Puts `count` of a noise into a sound, at random places."""
    for _ in range(count):
        sound = to_peak(in_room(random, noise_of.make(random), noise_of.metres), random.uniform(*noise_of.loud))
        sound = sound[: len(whole)]
        at = int(random.integers(0, len(whole) - len(sound) + 1))
        whole[at : at + len(sound)] += sound


def table(random: Random, seconds: float, busy: float = 1.0) -> Sound:
    """A table's noises, each as often as in an hour, times `busy`; without talk."""
    whole = ambience(random, seconds, random.uniform(-62, -50), random.uniform(-72, -58))
    for each in NOISES:
        spread(random, whole, each, round(busy * each.an_hour * seconds / 3600))
    return whole


# Speech


def speech(samples: bytes) -> Sound:
    """Speech of the engine at our rate, without silence around it, its peak 1."""
    spoken = np.frombuffer(samples, "<i2").astype(float)
    loud = np.flatnonzero(np.abs(spoken) > 200)
    spoken = spoken[loud[0] : loud[-1] + 1]
    spectrum = np.fft.rfft(spoken)
    spectrum[np.fft.rfftfreq(len(spoken), 1 / SPOKEN) > 0.48 * RATE] = 0
    spoken = np.fft.irfft(spectrum, len(spoken))
    at = np.arange(0, len(spoken) - 1, SPOKEN / RATE)
    return to_peak(np.interp(at, np.arange(len(spoken)), spoken), 0)


def as_heard(random: Random, spoken: Sound, metres: float, decibels: float) -> Sound:
    """Speech from a loudspeaker or a mouth as a small microphone hears it: thin, with an echo, at that peak."""
    return to_peak(in_room(random, band(spoken, 180, 7000), metres), decibels)


def talk(random: Random, seconds: float, sentences: Sequence[Sound], metres: float, loud: tuple[float, float]) -> Sound:
    """Sentences one after another, each heard in the room at a loudness of its own, for that long."""
    whole = np.zeros(round(seconds * RATE))
    here = 0.0
    while True:
        sound = as_heard(random, sentences[int(random.integers(len(sentences)))], metres, random.uniform(*loud))
        at = round(here * RATE)
        if at + len(sound) > len(whole):
            return whole
        whole[at : at + len(sound)] += sound
        here += len(sound) / RATE + random.uniform(0.0, 1.2)


def pair_of(random: Random, make: Callable[[Random], Sound], gap: float | None = None) -> Sound:
    """Two taps or two claps of one hand: alike, but never equally loud. `gap` is in seconds from one to the other."""
    second = level(random.uniform(-6, 6)) * make(random)
    return to_peak(joined([make(random), second], [0, random.uniform(0.18, 0.36) if gap is None else gap]), 0)


def in_quiet(random: Random, sound: Sound, metres: float, decibels: float, hiss: float) -> Sound:
    """A sound as heard from so far with that peak, between seconds in which nothing is heard but the room."""
    heard = to_peak(in_room(random, sound, metres), decibels)
    before, after = round(1.1 * RATE), round(1.3 * RATE)
    whole = ambience(random, (before + len(sound) + after) / RATE, hiss + 8, hiss)
    heard = heard[: len(whole) - before]
    whole[before : before + len(heard)] += heard
    return whole
