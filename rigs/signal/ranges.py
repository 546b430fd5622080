"""Tunings and voices by name, as starting points to choose from; a song's own notes overrule them.

All of it is common practice without a source; texts differ on voices by a few notes.
"""

from __future__ import annotations

from rigs.signal.notes import parse_note, parse_tuning

TUNINGS = {
    "guitar standard": "E2 A2 D3 G3 B3 E4",
    "guitar half a step down": "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
    "guitar drop D": "D2 A2 D3 G3 B3 E4",
    "guitar drop C": "C2 G2 C3 F3 A3 D4",
    "guitar DADGAD": "D2 A2 D3 G3 A3 D4",
    "guitar open G": "D2 G2 D3 G3 B3 D4",
    "guitar open D": "D2 A2 D3 F#3 A3 D4",
    "guitar seven strings": "B1 E2 A2 D3 G3 B3 E4",
    "guitar eight strings": "F#1 B1 E2 A2 D3 G3 B3 E4",
    "bass four strings": "E1 A1 D2 G2",
    "bass drop D": "D1 A1 D2 G2",
    "bass five strings": "B0 E1 A1 D2 G2",
    "violin": "G3 D4 A4 E5",
    "viola": "C3 G3 D4 A4",
    "cello": "C2 G2 D3 A3",
    "double bass": "E1 A1 D2 G2",
}

# Names are typed by people, so capitals do not matter.
_BY_NAME = {name.casefold(): strings for name, strings in TUNINGS.items()}

VOICES = {
    "bass": ("E2", "E4"),
    "baritone": ("A2", "A4"),
    "tenor": ("C3", "C5"),
    "alto": ("F3", "F5"),
    "mezzo-soprano": ("A3", "A5"),
    "soprano": ("C4", "C6"),
}


def named_tuning(name: str) -> tuple[int, ...]:
    """MIDI numbers of a tuning in TUNINGS, lowest string first.

    Source: common practice, no source. Range: the names in TUNINGS, in any case. Raises
    ValueError otherwise.
    """
    if name.casefold() not in _BY_NAME:
        raise ValueError(f"name must be one of {', '.join(TUNINGS)}, got {name!r}")
    return parse_tuning(_BY_NAME[name.casefold()])


def stated_tuning(words: str) -> tuple[int, ...]:
    """MIDI numbers of a tuning written as its notes or as a name in TUNINGS.

    Source: common practice, no source. Range: as `notes.parse_tuning`. Raises ValueError
    otherwise.
    """
    return parse_tuning(_BY_NAME.get(words.strip().casefold(), words))


def voice_range(name: str) -> tuple[int, int]:
    """Lowest and highest MIDI number of a voice in VOICES.

    Source: common practice, no source. Range: the names in VOICES. Raises ValueError otherwise.
    """
    if name not in VOICES:
        raise ValueError(f"name must be one of {', '.join(VOICES)}, got {name!r}")
    low, high = VOICES[name]
    return parse_note(low), parse_note(high)
