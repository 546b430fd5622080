"""Notes, tunings and voices. Pitches of tunings and voices are common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import notes, ranges

MIDI = st.integers(0, 127)

# Closed form at A4 = 440 Hz (ISO 16, clause from memory), C to B of each octave, 0.001 Hz.
OCTAVES = {
    1: "32.703 34.648 36.708 38.891 41.203 43.654 46.249 48.999 51.913 55.000 58.270 61.735",
    2: "65.406 69.296 73.416 77.782 82.407 87.307 92.499 97.999 103.826 110.000 116.541 123.471",
    3: "130.813 138.591 146.832 155.563 164.814 174.614 184.997 195.998 207.652 220.000 "
    "233.082 246.942",
    4: "261.626 277.183 293.665 311.127 329.628 349.228 369.994 391.995 415.305 440.000 "
    "466.164 493.883",
    5: "523.251 554.365 587.330 622.254 659.255 698.456 739.989 783.991 830.609 880.000 "
    "932.328 987.767",
    6: "1046.502 1108.731 1174.659 1244.508 1318.510 1396.913 1479.978 1567.982 1661.219 "
    "1760.000 1864.655 1975.533",
    7: "2093.005 2217.461 2349.318 2489.016 2637.020 2793.826 2959.955 3135.963 3322.438 "
    "3520.000 3729.310 3951.066",
}


@pytest.mark.parametrize("octave", OCTAVES)
def test_an_octave_of_notes(octave: int) -> None:
    letters = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]
    names = [f"{letter}{octave}" for letter in letters]
    expected = [float(hertz) for hertz in OCTAVES[octave].split()]
    found = [notes.frequency(notes.parse_note(name)) for name in names]
    assert found == pytest.approx(expected, abs=0.001)


# Closed form, the ends of the piano and other concert pitches.
@pytest.mark.parametrize(
    ("note", "a4", "hertz"),
    [
        ("A0", 440, 27.5),
        ("A#0", 440, 29.135),
        ("B0", 440, 30.868),
        ("C8", 440, 4186.009),
        ("E2", 432, 80.909),
        ("A2", 432, 108.0),
        ("E2", 442, 82.781),
        ("A2", 442, 110.5),
    ],
)
def test_single_notes(note: str, a4: float, hertz: float) -> None:
    assert notes.frequency(notes.parse_note(note), a4) == pytest.approx(hertz, abs=0.001)


# MIDI numbers by hand, C4 = 60.
@pytest.mark.parametrize(
    ("text", "midi"),
    [
        ("C#2", 37),
        ("Db2", 37),
        ("D♭2", 37),
        ("C♯2", 37),
        ("E♭2", 39),
        ("eb2", 39),
        ("EB2", 39),
        (" a4 ", 69),
        ("bb3", 58),
        ("b3", 59),
        ("bbb3", 57),
        ("Cb4", 59),
        ("B#3", 60),
        ("F##1", 31),
        ("Fx1", 31),
        ("D𝄫4", 60),
        ("C♮4", 60),
        ("C-1", 0),
        ("C−1", 0),
        ("G9", 127),
    ],
)
def test_spellings(text: str, midi: int) -> None:
    assert notes.parse_note(text) == midi


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("H2", "note must use English names (B for H, Bb for the German B), got 'H2'"),
        ("h", "note must use English names (B for H, Bb for the German B), got 'h'"),
        ("E", "note must end with its octave, such as E2, got 'E'"),
        ("J2", "note must be a letter A to G, # or b, and an octave, got 'J2'"),
        ("", "note must be a letter A to G, # or b, and an octave, got ''"),
        ("Es2", "note must be a letter A to G, # or b, and an octave, got 'Es2'"),
        ("C2.5", "note must be a letter A to G, # or b, and an octave, got 'C2.5'"),
        ("C#b2", "note must be a letter A to G, # or b, and an octave, got 'C#b2'"),
        ("E²", "note must be a letter A to G, # or b, and an octave, got 'E²'"),
        (None, "note must be a letter A to G, # or b, and an octave, got None"),
        ("G#9", "note must lie from C-1 to G9, got 'G#9'"),
        ("Cb-1", "note must lie from C-1 to G9, got 'Cb-1'"),
        ("C" + "9" * 30, f"note must lie from C-1 to G9, got 'C{'9' * 30}'"),
    ],
)
def test_what_is_no_note_says_so(text: str, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        notes.parse_note(text)
    assert str(refused.value) == message


@given(midi=MIDI, flats=st.booleans())
def test_names_round_trip(midi: int, flats: bool) -> None:
    name = notes.format_note(midi, flats)
    assert notes.parse_note(name) == midi
    assert notes.parse_note(name.lower()) == midi


@given(midi=MIDI, cents=st.floats(-49, 49), a4=st.floats(400, 480))
def test_nearest_note_finds_it_back(midi: int, cents: float, a4: float) -> None:
    hertz = notes.frequency(midi, a4) * 2 ** (cents / 1200)
    found, off = notes.nearest_note(hertz, a4)
    assert found == midi
    assert off == pytest.approx(cents, abs=1e-6)


@given(low=MIDI, high=MIDI)
def test_interval_is_the_difference_of_numbers(low: int, high: int) -> None:
    steps = notes.semitones(notes.frequency(low), notes.frequency(high))
    assert steps == pytest.approx(high - low, abs=1e-9)


def test_vector_equals_scalars() -> None:
    many = notes.frequency(np.array([40, 45, 50]))
    assert many.tolist() == [notes.frequency(m) for m in (40, 45, 50)]


# Closed form for the frequencies of tunings in common use.
@pytest.mark.parametrize(
    ("name", "hertz"),
    [
        ("bass four strings", "41.203 55.000 73.416 97.999"),
        ("bass five strings", "30.868 41.203 55.000 73.416 97.999"),
        ("bass drop D", "36.708 55.000 73.416 97.999"),
        ("guitar standard", "82.407 110.000 146.832 195.998 246.942 329.628"),
        ("guitar half a step down", "77.782 103.826 138.591 184.997 233.082 311.127"),
        ("guitar drop D", "73.416 110.000 146.832 195.998 246.942 329.628"),
        ("guitar drop C", "65.406 97.999 130.813 174.614 220.000 293.665"),
        ("guitar seven strings", "61.735 82.407 110.000 146.832 195.998 246.942 329.628"),
        ("guitar eight strings", "46.249 61.735 82.407 110.000 146.832 195.998 246.942 329.628"),
        ("guitar DADGAD", "73.416 110.000 146.832 195.998 220.000 293.665"),
        ("guitar open G", "73.416 97.999 146.832 195.998 246.942 293.665"),
        ("guitar open D", "73.416 110.000 146.832 184.997 220.000 293.665"),
    ],
)
def test_tunings(name: str, hertz: str) -> None:
    found = notes.frequency(np.array(ranges.named_tuning(name)))
    assert found == pytest.approx([float(h) for h in hertz.split()], abs=0.001)


# Lowest strings of the bowed instruments, closed form.
@pytest.mark.parametrize(
    ("name", "hertz"), [("violin", 195.998), ("viola", 130.813), ("cello", 65.406)]
)
def test_bowed_strings(name: str, hertz: float) -> None:
    assert notes.frequency(min(ranges.named_tuning(name))) == pytest.approx(hertz, abs=0.001)


# Voice ranges: common practice, no source, so only to 0.1 Hz as listed.
@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("bass", 82.4, 329.6),
        ("baritone", 110, 440),
        ("tenor", 130.8, 523.3),
        ("alto", 174.6, 698.5),
        ("mezzo-soprano", 220, 880),
        ("soprano", 261.6, 1046.5),
    ],
)
def test_voices(name: str, low: float, high: float) -> None:
    found = [notes.frequency(midi) for midi in ranges.voice_range(name)]
    assert found == pytest.approx([low, high], abs=0.06)


def test_parse_tuning_keeps_the_order_written() -> None:
    assert notes.parse_tuning("C2 G2 C3 F3 A3 D4") == (36, 43, 48, 53, 57, 62)
    assert notes.parse_tuning(" g4,c4; E4  A4, ") == (67, 60, 64, 69)


@given(tuning=st.lists(MIDI, min_size=1, max_size=12).map(tuple), flats=st.booleans())
def test_tunings_round_trip(tuning: tuple[int, ...], flats: bool) -> None:
    assert notes.parse_tuning(notes.format_tuning(tuning, flats)) == tuning


@pytest.mark.parametrize("text", ["", "  , ;", None])
def test_empty_tuning(text: str) -> None:
    with pytest.raises(ValueError, match=r"^tuning must name at least one note, got "):
        notes.parse_tuning(text)


def test_tuning_names_the_note_that_does_not_read() -> None:
    with pytest.raises(ValueError, match="^note must end with its octave, such as E2, got 'G'$"):
        notes.parse_tuning("C2 G C3")


def test_tuning_range() -> None:
    standard = ranges.named_tuning("guitar standard")
    # By hand: fret 24 on E4 is E6; a capo at 2 lifts the bottom to F#2.
    assert notes.tuning_range(standard, frets=24) == (40, 88)
    assert notes.tuning_range(standard, capo=2) == (42, 66)
    with pytest.raises(ValueError, match="^frets must be from 0 to 36, got 40$"):
        notes.tuning_range(standard, frets=40)


@pytest.mark.parametrize("call", [ranges.named_tuning, ranges.voice_range])
def test_unknown_names_list_the_known(call) -> None:
    with pytest.raises(ValueError, match=r"^name must be one of .*, got 'kazoo'$"):
        call("kazoo")


def test_numbers_outside_are_refused() -> None:
    with pytest.raises(ValueError, match="^midi must be a whole number, got 60.5$"):
        notes.format_note(60.5)
    with pytest.raises(ValueError, match="^midi must be from 0 to 127, got 128$"):
        notes.frequency(128)
    with pytest.raises(ValueError, match="^hertz must be near a note from C-1 to G9, got 20000.0$"):
        notes.nearest_note(20000.0)
    with pytest.raises(ValueError, match="^a4 must be above 0, got 0$"):
        notes.frequency(69, 0)
