"""Note names, MIDI numbers, frequencies and tunings in equal temperament.

Octaves are numbered so that middle C is C4 (MIDI 60) and A4 is the tuning note.
"""

from __future__ import annotations

import re

import numpy as np

from core.languages.marked import Said, gettext_noop
from rigs.signal._check import Q, plain, positive, refuse, whole, within

CONCERT_A_HZ = 440.0  # ISO 16
LOWEST_MIDI = 0
HIGHEST_MIDI = 127
_A4 = 69
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
_ACCIDENTALS = {"": 0, "#": 1, "##": 2, "x": 2, "b": -1, "bb": -2}
# H and a missing octave are matched too, so that each gets an error of its own.
_NOTE = re.compile(r"([a-h])(##?|bb?|x|)(-?\d+)?", re.IGNORECASE | re.ASCII)
# Signs that phones and word processors put in place of # and b.
_PLAIN = str.maketrans({"♯": "#", "♭": "b", "♮": "", "−": "-", "𝄪": "x", "𝄫": "bb"})


def parse_note(text: str) -> int:
    """MIDI number of a note such as "C#2", "Db2" or "E♭2"; capitals do not matter.

    Sharps #, ♯, ##, x; flats b, ♭, bb; the octave is required and belongs to the letter, so B#2
    is C3. Source: common practice, no source. Range: MIDI 0 (C-1) to 127 (G9).
    Raises ValueError for anything else, and says so for the German H.
    """
    match = _NOTE.fullmatch(text.strip().translate(_PLAIN)) if isinstance(text, str) else None
    if match is None:
        words = gettext_noop("note must be a letter A to G, # or b, and an octave, got {text}")
        raise ValueError(Said(words, text=repr(text)))
    letter, accidental, octave = match.groups()
    if letter.upper() == "H":
        words = gettext_noop(
            "note must use English names (B for H, Bb for the German B), got {text}"
        )
        raise ValueError(Said(words, text=repr(text)))
    if octave is None:
        words = gettext_noop("note must end with its octave, such as E2, got {text}")
        raise ValueError(Said(words, text=repr(text)))
    midi = 12 * (int(octave) + 1) + _STEPS[letter.upper()] + _ACCIDENTALS[accidental.lower()]
    if not LOWEST_MIDI <= midi <= HIGHEST_MIDI:
        words = gettext_noop("note must lie from C-1 to G9, got {text}")
        raise ValueError(Said(words, text=repr(text)))
    return midi


def format_note(midi: int, flats: bool = False) -> str:
    """Name of a MIDI number, in sharps ("C#2") or flats ("Db2").

    Source: common practice. Range: 0 to 127, whole numbers. Raises ValueError outside it.
    """
    number = whole("midi", midi, LOWEST_MIDI, HIGHEST_MIDI)
    return f"{(_FLATS if flats else _SHARPS)[number % 12]}{number // 12 - 1}"


def frequency(midi: Q, a4: float = CONCERT_A_HZ) -> Q:
    """Frequency in Hz of a MIDI number, fractions allowed: A4 x 2^((m - 69) / 12).

    Source: equal temperament; A4 = 440 Hz from ISO 16 (clause from memory). Range: 0 to 127,
    a4 above 0 Hz. Stretched tuning is not covered. Raises ValueError outside it.
    """
    steps = within("midi", midi, LOWEST_MIDI, HIGHEST_MIDI) - _A4
    return plain(positive("a4", a4) * 2.0 ** (steps / 12))


def semitones(frequency_from: Q, frequency_to: float) -> Q:
    """Interval in semitones between two frequencies in Hz: 12 log2(f2 / f1).

    Source: equal temperament. Range: both above 0 Hz. Raises ValueError outside it.
    """
    low = positive("frequency_from", frequency_from)
    return plain(12 * np.log2(positive("frequency_to", frequency_to) / low))


def nearest_note(hertz: float, a4: float = CONCERT_A_HZ) -> tuple[int, float]:
    """MIDI number nearest to a frequency in Hz, and how many cents above it the frequency is.

    Source: as frequency. Range: a frequency whose nearest note is MIDI 0 to 127.
    Raises ValueError outside it.
    """
    exact = _A4 + semitones(positive("a4", a4), positive("hertz", hertz))
    midi = round(exact)
    if not LOWEST_MIDI <= midi <= HIGHEST_MIDI:
        refuse("hertz", hertz, "near a note from C-1 to G9")
    return midi, 100 * (exact - midi)


def parse_tuning(text: str) -> tuple[int, ...]:
    """MIDI numbers of a tuning such as "C2 G2 C3 F3 A3 D4", in the order written.

    Notes are parted by spaces, commas or semicolons. Source: common practice. Range: one note or
    more, each as parse_note. Raises ValueError for none, or naming the note that does not read.
    """
    words = re.split(r"[\s,;]+", text.strip(" \t\r\n,;")) if isinstance(text, str) else []
    if not any(words):
        shape = gettext_noop("tuning must name at least one note, got {text}")
        raise ValueError(Said(shape, text=repr(text)))
    return tuple(parse_note(word) for word in words)


def format_tuning(midi: tuple[int, ...], flats: bool = False) -> str:
    """A tuning as text, notes parted by single spaces, in the order given.

    Source and range: as format_note. Raises ValueError outside it or for no note.
    """
    if not midi:
        raise ValueError(f"tuning must name at least one note, got {midi!r}")
    return " ".join(format_note(number, flats) for number in midi)


def tuning_range(tuning: tuple[int, ...], frets: int = 0, capo: int = 0) -> tuple[int, int]:
    """Lowest and highest MIDI number a tuning reaches, with a capo and the highest fret used.

    Formula: lowest string + capo, highest string + the larger of fret and capo. Source: common
    practice. Range: 0 to 36 frets. Raises ValueError outside it or for no note.
    """
    format_tuning(tuning)
    stopped = whole("capo", capo, 0, 36)
    highest = max(tuning) + max(whole("frets", frets, 0, 36), stopped)
    return min(tuning) + stopped, whole("highest note", highest, LOWEST_MIDI, HIGHEST_MIDI)
