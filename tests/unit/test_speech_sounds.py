"""The short sounds without words: soft, short, told apart without an ear for pitch, and never louder than the voice."""

from itertools import combinations, groupby, product
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pytest

from benchmate.speech.sounds import LARGEST, NOTES, RATE, Sound, Sounds, samples
from tests.reference_voice import Asked, spoken

Wave = npt.NDArray[np.float64]
AFTER_A_PRESS = tuple(NOTES)
"""All but the tick."""
TOGETHER = (Sound.ROW_END, Sound.STRING_CHANGE)
"""What one press may ask for, one after the other."""
HOP, FRAME = round(0.01 * RATE), round(0.02 * RATE)
ALIKE = 0.7
"""The most that the pictures in time and pitch of two sounds may correlate, wherever one is laid over the other.

One note fits exactly over one of two, which alone makes 0.7.
"""


def wave(*which: Sound, share: float = 1.0, volume: float = 1.0) -> Wave:
    """The sounds as shares of the largest sample."""
    return np.frombuffer(samples(Sounds(which, share), volume), "<i2") / LARGEST


class Contour(NamedTuple):
    """What anybody hears: how many notes, and whether the pitch rises (1), falls (-1) or stays (0)."""

    notes: int
    way: int


def contour(heard: Wave) -> Contour:
    """The contour, found in the samples alone."""
    loud = np.abs(heard) > np.abs(heard).max() / 50
    # Within a note the wave passes through silence only briefly.
    near = np.convolve(loud, np.ones(RATE // 200), "same") > 0
    notes = sum(is_loud for is_loud, _ in groupby(near))
    rise = pitch(heard[: len(heard) // 4]) - pitch(heard[-len(heard) // 4 :])
    return Contour(notes, 0 if abs(rise) < 0.1 * pitch(heard) else -int(np.sign(rise)))


def pitch(heard: Wave) -> float:
    """The strongest partial, in hertz."""
    spectrum = np.abs(np.fft.rfft(heard, 1 << 15))
    return float(np.argmax(spectrum) * RATE / (1 << 15))


def picture(heard: Wave) -> Wave:
    """How much sounds when and at which pitch: a row for each hundredth of a second, twelve columns an octave."""
    frames = [heard[at : at + FRAME] for at in range(0, len(heard) - FRAME + 1, HOP)]
    pitches = 220 * 2 ** (np.arange(60) / 12)
    spectra = np.array([np.abs(np.fft.rfft(frame * np.hanning(FRAME), 1 << 14)) for frame in frames])
    found: Wave = spectra[:, np.round(pitches * (1 << 14) / RATE).astype(int)]
    return found / np.linalg.norm(found)


def likeness(one: Wave, other: Wave) -> float:
    """The correlation of two pictures, laid one over the other in the best way, both in time and in pitch."""
    rows, columns = (len(one) + 2 * len(other), 180)
    room = np.zeros((rows, columns))
    room[len(other) : len(other) + len(one), 60:120] = one
    spectrum = np.fft.rfft2(room) * np.conj(np.fft.rfft2(other, (rows, columns)))
    return float(np.fft.irfft2(spectrum, (rows, columns)).max())


def test_each_has_a_contour_of_its_own() -> None:
    assert {sound: contour(wave(sound)) for sound in AFTER_A_PRESS} == {
        Sound.DONE: (1, 0),
        Sound.UNDONE: (1, -1),
        Sound.WRONG_WAY: (3, 0),
        Sound.ROW_END: (1, 1),
        Sound.STRING_CHANGE: (2, 0),
    }


def test_no_two_look_alike_even_when_moved_in_time_and_pitch() -> None:
    pictures = {sound: picture(wave(sound)) for sound in AFTER_A_PRESS}
    assert likeness(pictures[Sound.DONE], pictures[Sound.DONE]) == pytest.approx(1.0)
    found = {pair: likeness(*map(pictures.__getitem__, pair)) for pair in combinations(AFTER_A_PRESS, 2)}
    assert max(found.values()) < ALIKE, found


@pytest.mark.parametrize("sound", AFTER_A_PRESS)
def test_each_is_short_and_soft_and_of_a_middle_pitch(sound: Sound) -> None:
    heard = wave(sound)
    assert 0.03 < len(heard) / RATE < 0.15
    # No click: it begins and ends near silence, and no two samples are far apart.
    assert max(abs(heard[0]), abs(heard[-1])) < 0.001
    assert np.abs(np.diff(heard)).max() < 0.15
    assert np.abs(heard).max() < 0.5
    spectrum = np.abs(np.fft.rfft(heard)) ** 2
    pitches = np.fft.rfftfreq(len(heard), 1 / RATE)
    assert 300 < pitches[np.argmax(spectrum)] < 1500
    assert spectrum[(pitches > 250) & (pitches < 1500)].sum() > 0.9 * spectrum.sum()
    # Nothing harsh: hardly anything far above the pitch.
    assert spectrum[pitches > 3000].sum() < 0.001 * spectrum.sum()


def test_those_of_one_press_come_one_after_the_other() -> None:
    both, (first, second) = wave(*TOGETHER), map(wave, TOGETHER)
    assert len(both) / RATE <= 0.35
    assert np.array_equal(both[: len(first)], first)
    assert np.array_equal(both[-len(second) :], second)
    gap = both[len(first) : -len(second)]
    assert len(gap) > 0.03 * RATE
    assert not gap.any()


def loudness(heard: Wave) -> float:
    """The root mean square from the first to the last sample that can be heard."""
    loud = np.flatnonzero(np.abs(heard) > np.abs(heard).max() / 100)
    return float(np.sqrt(np.mean(heard[loud[0] : loud[-1] + 1] ** 2)))


def decibels(heard: Wave, voice: Wave) -> float:
    """How much louder than the voice."""
    return float(20 * np.log10(loudness(heard) / loudness(voice)))


def test_they_are_as_loud_as_the_voice_or_softer_by_the_share_chosen() -> None:
    asked = [Asked("forward", rate, volume) for rate in (150, 300) for volume in (0.1, 0.25, 0.5, 0.75, 1.0)]
    said = [np.frombuffer(each, "<i2") / LARGEST for each in spoken(*asked)]
    for (how, voice), sound in product(zip(asked, said, strict=True), AFTER_A_PRESS):
        full, half = (wave(sound, share=share, volume=how.volume) for share in (1.0, 0.5))
        assert np.abs(full).max() < np.abs(voice).max()
        assert -2.0 < decibels(full, voice) < 0.0, (sound, how)
        assert -8.0 < decibels(half, voice) < -6.0, (sound, how)
    assert not wave(Sound.DONE, volume=0.0).any()
    assert not wave(Sound.DONE, share=0.0).any()
