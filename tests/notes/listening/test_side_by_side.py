"""Signals whose difference is known by construction, and what may not be said of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.signal import butter, freqz, iirpeak, lfilter, sosfilt

from notes.listening.bands import (
    NOMINAL,
    Bands,
    a_weighting,
    edges,
    midbands,
    third_octaves,
)
from notes.listening.caveats import Against, caveats_of, spans
from notes.listening.compare import HEADROOM_DBTP, in_words, matching_gains
from notes.listening.delay import Delay
from notes.listening.doubt import ANOTHER_SOURCE, NOT_BEGUN_TOGETHER, TWO_PERFORMANCES
from notes.listening.envelope import envelope
from notes.listening.loudness import measure
from notes.listening.named import NamedFrequency, named_in
from notes.listening.pauses import near_noise, pause
from notes.listening.peaks import true_peak
from notes.listening.relation import Relation, relate
from notes.listening.side_by_side import MeasuredClip, read, standard_error

RATE = 48_000
AT_ONCE = Delay(0.0, 1, confidence=0.9, alike=0.9)
ONE, TWO, SHORT = Relation(AT_ONCE, 0.99), Relation(AT_ONCE, 0.02), Relation(None, 0.0, "too short")
Sound = NDArray[np.float64]


def noise(seconds: float, seed: int) -> Sound:
    return 0.1 * np.random.default_rng(seed).standard_normal(round(seconds * RATE))


def shaped(sound: Sound, low: float, high: float, gain_db: float) -> Sound:
    """`gain_db` between two frequencies, exactly, and nothing elsewhere."""
    lines = np.fft.rfft(sound)
    at = np.fft.rfftfreq(len(sound), 1 / RATE)
    lines[(at >= low) & (at < high)] *= 10 ** (gain_db / 20)
    return np.fft.irfft(lines, len(sound))


def heard(sound: Sound, letter: str = "A", **more: object) -> MeasuredClip:
    found = MeasuredClip(letter, len(sound) / RATE, RATE, 1, 0.0, third_octaves(sound, RATE), None)
    return replace(found, **more)  # type: ignore[arg-type]


def said(first: MeasuredClip, second: MeasuredClip, relation: Relation = ONE) -> list[str]:
    return caveats_of(first, [Against(second, relation)])


def test_known_filters_read_as_what_they_are() -> None:
    """Band edges after IEC 61260-1: 100–160 Hz is 89.13–177.83, 2.5–4 kHz is 2239–4467 Hz."""
    first = noise(20, 1)
    second = shaped(shaped(first, 89.125, 177.828, -2.8), 2238.72, 4466.84, 1.5)
    reading = read(heard(first), heard(second, "B"))
    assert reading.words == ["2.8 dB less at 100–160 Hz", "1.5 dB more at 2.5–4 kHz"]
    assert reading.between(100, 160) == pytest.approx(-2.8, abs=0.1)
    assert reading.between(500, 1000) is None


def test_the_difference_is_that_of_the_clips_as_they_are_played() -> None:
    first = noise(20, 2)
    as_loud = read(heard(first), heard(first / 2, "B", gain_db=20 * np.log10(2)))
    assert as_loud.words == []
    assert np.nanmax(np.abs(as_loud.change)) < 1e-9


@pytest.mark.parametrize(("seconds", "pieces"), [(1, 120), (5, 40)])
def test_band_levels_of_noise_scatter_as_the_rule_says(seconds: int, pieces: int) -> None:
    """4.34/√(BT) dB against many pieces of noise, in bands from 100 Hz to 8 kHz. The scatter of n
    pieces is known to 1/√(2n): 6 and 11 % in a band, so three times that is allowed."""
    sounds = noise(seconds * pieces, 3).reshape(pieces, seconds * RATE)
    levels = np.stack([third_octaves(each, RATE).levels for each in sounds])
    some = slice(NOMINAL.index(100), NOMINAL.index(8000) + 1)
    ratio = levels.std(axis=0)[some] / standard_error(seconds)[some]
    assert ratio.mean() == pytest.approx(1, abs=0.08)
    assert np.abs(ratio - 1).max() < 3 / np.sqrt(2 * pieces)


@pytest.mark.parametrize("seed", range(5))
def test_two_pieces_of_the_same_noise_are_not_said_to_differ(seed: int) -> None:
    """Twice the standard error of a difference: 1 of 20 bands may stray, and hardly far."""
    first, second = noise(6, 10 + seed), noise(6, 30 + seed)
    reading = read(heard(first), heard(second, "B"))
    strays = int(np.isfinite(reading.counted).sum())
    assert strays <= 5
    assert "B is another performance than A" in said(heard(first), heard(second, "B"), TWO)[0]


def test_short_clips_say_from_where_on_they_can_be_read() -> None:
    """B·T = 10 is B = 12.5 Hz in 0.8 s; a third of an octave is 0.2316 of its midband (IEC 61260-1:
    G^(1/6) − G^(−1/6)), so that is 54 Hz."""
    first = noise(0.8, 4)
    second = heard(shaped(first, 0, 50, 6), "B")
    assert "0.8 s are too short to read anything below 63 Hz." in said(heard(first), second)
    reading = read(heard(first), second)
    assert np.isinf(reading.least[NOMINAL.index(50)])
    assert reading.words == []


def test_one_performance_through_two_microphones_is_recognised_with_its_delay() -> None:
    phrase = noise(4, 5) * np.repeat(np.random.default_rng(6).uniform(0, 1, 40), RATE // 10)
    other = sosfilt(butter(2, [150, 4000], "bandpass", fs=RATE, output="sos"), phrase)
    later = -0.4 * np.concatenate([np.zeros(96), other])[: len(phrase)] + noise(4, 7) * 0.01
    found = relate(phrase, later, (RATE, RATE))
    assert found.one_performance
    assert found.polarity == -1
    assert found.delay_s == pytest.approx(96 / RATE, abs=0.0005)  # and the filter's own delay


def test_a_cut_a_second_later_is_found() -> None:
    phrase = noise(6, 8)
    found = relate(phrase, phrase[RATE:], (RATE, RATE))
    assert found.in_step_s == pytest.approx(-1, abs=1e-4)
    assert found.doubt == NOT_BEGUN_TOGETHER
    assert relate(phrase, phrase[RATE:], (RATE, RATE), cut_s=1.0).delay_s == pytest.approx(
        0, abs=1e-5
    )
    assert found.shared > 0.99


def test_rates_may_differ() -> None:
    """A swept sine written at both rates from its formula (phase π·k·t² of a linear sweep)."""

    def sweep(rate: int) -> Sound:
        t = np.arange(4 * rate) / rate
        return np.sin(np.pi * 500 * t**2)

    found = relate(sweep(44_100), sweep(48_000), (44_100, 48_000))
    assert found.delay_s == pytest.approx(0, abs=5e-5)
    assert found.one_performance


def test_two_performances_are_not_aligned() -> None:
    found = relate(noise(4, 9), noise(4, 10), (RATE, RATE))
    assert found.one_performance is False
    assert found.delay_s is found.polarity is None
    assert found.in_step_s == 0
    assert found.doubt == TWO_PERFORMANCES


def test_what_is_too_short_or_silent_is_refused() -> None:
    with pytest.raises(ValueError, match="half a second"):
        relate(noise(0.3, 1), noise(4, 1), (RATE, RATE))
    with pytest.raises(ValueError, match="silent"):
        relate(np.zeros(RATE), noise(1, 1), (RATE, RATE))


def test_bands_that_hardly_rise_above_the_pause_are_not_read() -> None:
    """A tone burst at 1 kHz over a floor of noise, then the floor alone."""
    floor = noise(4, 11) * 0.001
    tone = np.sin(2 * np.pi * 1000 * np.arange(2 * RATE) / RATE) * 0.3
    clip = floor.copy()
    clip[: 2 * RATE] += tone
    quiet = pause(clip, RATE)
    assert quiet is not None
    bands = third_octaves(clip, RATE)
    noisy = near_noise(bands, quiet)
    assert not noisy[NOMINAL.index(1000)]
    assert noisy[NOMINAL.index(8000)]
    first, second = heard(clip, pause=quiet), heard(clip, "B", pause=quiet)
    assert any("may be the room" in each for each in said(first, second))
    assert np.isinf(read(first, second).least[NOMINAL.index(8000)])


def test_steady_playing_has_no_pause_and_says_so() -> None:
    steady = noise(4, 12)
    assert pause(steady, RATE) is None
    assert any("A and B have no pause" in each for each in said(heard(steady), heard(steady, "B")))


def test_digital_silence_is_no_pause() -> None:
    assert pause(np.concatenate([noise(2, 13), np.zeros(2 * RATE)]), RATE) is None


def test_rate_channels_clipping_and_offset_are_told() -> None:
    a = heard(noise(4, 14), clipped=1)
    b = heard(noise(8, 15), "B", rate_hz=44_100.0, channels=2, offset=-0.05)
    text = " ".join(said(a, b, SHORT))
    for part in (
        "Too short to tell whether B holds",
        "above 22.05 kHz",
        "B is stereo and read as the mean of both channels; A is mono.",
        "Clipped: A (1 place).",
        "B lies off centre by 5.0 % of full scale (DC offset)",
    ):
        assert part in text


def test_a_delay_that_only_the_sound_speaks_for_is_said_to_be_so_once() -> None:
    """In the words of the page of two captures."""
    a, b, c = (heard(noise(4, 43), letter) for letter in "ABC")
    assert ONE.is_certain
    assert caveats_of(a, [Against(b, ONE), Against(c, ONE)]).count(ANOTHER_SOURCE) == 1
    assert ANOTHER_SOURCE not in said(a, b, TWO)
    assert ANOTHER_SOURCE not in said(a, b, replace(ONE, borne_out=True))


def test_of_six_clips_each_thing_is_said_once_with_those_it_holds_for() -> None:
    sound = noise(8, 40)
    a, b = heard(sound), heard(sound, "B")
    c, d = heard(sound[: 6 * RATE], "C", clipped=2), heard(noise(8, 41), "D", clipped=1)
    e, f = heard(sound[: RATE // 2], "E"), heard(noise(8, 42), "F", channels=2)
    maybe = Relation(AT_ONCE, 0.5)
    found = caveats_of(
        a,
        [
            Against(b, ONE),
            Against(c, maybe),
            Against(d, TWO),
            Against(e, SHORT),
            Against(f, Relation(AT_ONCE, 0.123)),
        ],
    )
    assert len(found) == len(set(found))
    assert [each.partition(" in time,")[0] for each in found[3:5]] == [
        "Cannot tell how far apart A, D and F are",
        "Cannot tell how far apart A and E are",
    ]
    assert found[:3] == [
        "Too short to tell whether E holds the same performance as A.",
        "C may be the same performance as A, or another: it shares 50% with it. Part of what "
        "differs may be the playing.",
        "D and F are other performances than A, or other parts of it: they share 2 to 12% with it. "
        "What differs is the playing as well as the sound, and nothing here parts the two.",
    ]
    rest = " ".join(found[3:])
    assert rest.count("may be chance") == 2  # from 20 Hz on where clips are long, 100 Hz in E
    assert "B, C, D and F against A: in 6.0 to 8.0 s a difference counts from" in rest
    assert "by how long the shorter one is" in rest
    assert "E against A: 0.5 s are too short to read anything below" in rest
    assert rest.count("no pause") == 1
    assert "A, B, C, D, E and F have no pause" in rest
    assert "F is stereo and read as the mean of both channels; A, B, C, D and E are mono." in rest
    assert "Clipped: C (2 places) and D (1 place)." in rest


def test_bands_near_the_room_are_named_with_their_clips() -> None:
    quiet = np.full(len(NOMINAL), -120.0)
    loud = quiet.copy()
    loud[NOMINAL.index(8000)] = 0.0
    sound = noise(4, 43)
    a, b = heard(sound, pause=Bands(midbands(), quiet)), heard(sound, "B")
    c = heard(sound, "C", pause=Bands(midbands(), loud))
    found = " ".join(caveats_of(a, [Against(b, ONE), Against(c, ONE)]))
    assert "Not read at 8 kHz (C): there the sound" in found
    assert "B has no pause" in found
    assert "Not read at 8 kHz: there the sound" in " ".join(said(a, c))


@cache
def long_noise() -> MeasuredClip:
    return heard(noise(60, 45))


@pytest.mark.parametrize("nominal", NOMINAL)
def test_one_frequency_is_read_from_the_band_of_its_name(nominal: float) -> None:
    """Nominal midbands and edges after IEC 61260-1: a step of 4 dB in that band alone is 4 dB."""
    a = long_noise()
    step = np.where(np.array(NOMINAL) == nominal, 4.0, 0.0)
    b = replace(a, letter="B", bands=Bands(midbands(), a.bands.levels + step))
    [named] = named_in(f"It sticks out at {nominal:g} Hz.")
    assert read(a, b).between(named.low_hz, named.high_hz) == pytest.approx(4)


def test_a_peak_filter_reads_as_scipy_works_it_out() -> None:
    """3 dB more at 2 kHz. Expected: the mean of |H|² over each band, H from scipy's freqz."""
    gain = 10 ** (3 / 20) - 1
    top, bottom = iirpeak(2000, 1.4, fs=RATE)
    first = noise(20, 44)
    second = first + gain * lfilter(top, bottom, first)
    hertz, response = freqz(top, bottom, worN=1 << 17, fs=RATE)
    power = np.abs(1 + gain * response) ** 2
    expected = np.array(
        [
            10 * np.log10(power[(hertz >= low) & (hertz < high)].mean())
            for low, high in zip(*edges(), strict=True)
        ]
    )
    reading = read(heard(first), heard(second, "B"))
    assert np.abs(reading.change - expected).max() < 0.15
    # 1.25 to 3.15 kHz lie above 1 dB, and the next bands 0.15 dB and more below it.
    some = slice(NOMINAL.index(1250), NOMINAL.index(3150) + 1)
    assert np.flatnonzero(expected > 0.85).tolist() == list(range(some.start, some.stop))
    [words] = reading.words
    told, _, where = words.partition(" dB more at ")
    assert where == "1.25–3.15 kHz"
    assert float(told) == pytest.approx(expected[some].mean(), abs=0.15)


@given(
    st.lists(
        st.tuples(st.floats(-50, -6), st.floats(0, 20)).map(lambda x: (x[0], x[0] + x[1] + 0.1)),
        min_size=2,
        max_size=6,
    )
)
def test_matched_clips_are_equally_loud_and_never_above_the_ceiling(
    clips: list[tuple[float, float]],
) -> None:
    """BS.1770: a gain of g dB moves loudness and true peak by g alike."""
    loud, peaks = [c[0] for c in clips], [c[1] for c in clips]
    gains = matching_gains(loud, peaks)
    after = [level + gain for level, gain in zip(loud, gains, strict=True)]
    assert max(after) - min(after) <= 0.1
    assert all(p + g <= HEADROOM_DBTP + 1e-9 for p, g in zip(peaks, gains, strict=True))
    assert max(after) <= max(loud) + 1e-9


@pytest.mark.parametrize("seed", [1, 2])
def test_matched_samples_measure_alike(seed: int) -> None:
    """Not the arithmetic but the sound: measured again after the gain."""
    spin = np.random.default_rng(seed)
    sounds = [noise(3, seed) * spin.uniform(0.1, 3), shaped(noise(3, seed + 9), 0, 800, 12)]
    gains = matching_gains(
        [measure(s, RATE).integrated for s in sounds], [true_peak(s) for s in sounds]
    )
    played = [s * 10 ** (g / 20) for s, g in zip(sounds, gains, strict=True)]
    levels = [measure(s, RATE).integrated for s in played]
    assert levels[0] == pytest.approx(levels[1], abs=0.1)
    assert max(true_peak(s) for s in played) <= HEADROOM_DBTP + 0.01


def test_the_outline_of_a_waveform_keeps_every_peak() -> None:
    sound = np.zeros((1000, 2))
    sound[137, 0], sound[842, 1] = 0.9, -0.7
    outline = envelope(sound, 100)
    assert outline.shape == (100, 2)
    assert outline[13].tolist() == [0, 0.9]
    assert outline[84].tolist() == [-0.7, 0]
    assert envelope(np.array([0.1, -0.2]), 50).tolist() == [[0.1, 0.1], [-0.2, -0.2]]


def test_frequencies_named_in_a_note() -> None:
    text = "Picks up the fret noise around 2–3 kHz and 160 Hz; boomy, 800 Hz to 1,2 kHz."
    assert named_in(text) == [
        NamedFrequency("2–3 kHz", 2000, 3000),
        NamedFrequency("800 Hz to 1,2 kHz", 800, 1200),
        NamedFrequency("160 Hz", pytest.approx(151.0, abs=0.1), pytest.approx(169.5, abs=0.1)),
        NamedFrequency("boomy", 80, 250, often=True),
    ]
    assert named_in("Take 4, 20 cm, from 3 to 5") == []


@pytest.mark.parametrize(
    ("text", "words", "low", "high"),
    [
        ("Too much 4k", "4k", 3776, 4238),  # a semitone, 2^(1/12), to each side
        ("Cut 2-3k", "2-3k", 2000, 3000),
        ("Cut 2.5k to 4 k", "2.5k to 4 k", 2500, 4000),
        ("It blooms around 160.", "around 160", 151.0, 169.5),
        ("It blooms around 160-200, too", "around 160-200", 160, 200),
        ("about 80", "about 80", 75.5, 84.8),
        ("roughly 160", "roughly 160", 151.0, 169.5),
        ("a bump at ~160", "~160", 151.0, 169.5),
        ("between 2 and 3k", "2 and 3k", 2000, 3000),
    ],
)
def test_frequencies_as_crews_write_them(text: str, words: str, low: float, high: float) -> None:
    assert named_in(text) == [
        NamedFrequency(words, pytest.approx(low, rel=1e-3), pytest.approx(high, rel=1e-3))
    ]


def test_two_frequencies_are_no_range() -> None:
    found = named_in("Too much at 250 Hz and 4k; 1.2k, 2.4k and 4.8k ring.")
    assert [each.words for each in found] == ["250 Hz", "4k", "1.2k", "2.4k", "4.8k"]


@pytest.mark.parametrize(
    "text",
    [
        "around 160 cm",
        "about 3 dB",
        "around 20:15",
        "about 30 s",
        "around 120 bpm",
        "near 4",
        "about 50%",
        "around 3'6",
        "take 4kg",
        "about 100 people",
        "around 160mm",
    ],
)
def test_what_is_no_frequency(text: str) -> None:
    assert named_in(text) == []


def test_a_weighting_is_that_of_the_standard() -> None:
    """IEC 61672-1, table of nominal weightings (from memory): 20 Hz to 20 kHz."""
    meant = {20: -50.5, 31.5: -39.4, 63: -26.2, 125: -16.1, 250: -8.6, 500: -3.2, 1000: 0.0,
             2000: 1.2, 4000: 1.0, 8000: -1.1, 16000: -6.6}  # fmt: skip
    got = a_weighting(midbands())
    for nominal, level in meant.items():
        assert got[NOMINAL.index(nominal)] == pytest.approx(level, abs=0.06)


def test_what_nobody_hears_is_not_told_first() -> None:
    """A voice: partials of 200 Hz, and rumble 40 dB below them that is 20 dB apart."""
    t = np.arange(20 * RATE) / RATE
    voice = sum(0.1 / k * np.sin(2 * np.pi * 200 * k * t) for k in range(1, 20))
    floor = noise(20, 50) * 0.01
    voice = np.asarray(voice) + floor
    rumble = shaped(noise(20, 51), 29, RATE, -200) * 0.02
    reading = read(heard(voice + rumble), heard(shaped(voice, 708, 1412, -4) + 10 * rumble, "B"))
    assert "less at 800 Hz–1.25 kHz" in reading.words[0]
    assert any(
        each.endswith("at 20–25 Hz, where hardly anything is heard") for each in reading.words
    )


def test_runs_of_bands_in_words() -> None:
    mask = np.zeros(31, dtype=bool)
    mask[:4] = mask[-2:] = True
    assert spans(mask) == "20–40 Hz, 16–20 kHz"


def test_a_slope_is_told_in_parts() -> None:
    """From −2 to −12 dB: one mean of −7 would be true of neither end."""
    change = np.full(31, np.nan)
    change[NOMINAL.index(125) : NOMINAL.index(1000)] = -2
    change[NOMINAL.index(1000) : NOMINAL.index(4000) + 1] = -12
    assert in_words(change) == ["12.0 dB less at 1–4 kHz", "2.0 dB less at 125–800 Hz"]
