"""What the clips do at the frequencies that the notes name: their words beside the reading."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from core.languages.words import all_of, apart, number, told
from notes.comparing.sides import Side, SideBySide
from notes.listening.bands import hertz_words
from notes.listening.named import NamedFrequency, named_in
from notes.models import Note

SHOWN = 6  # of one note


@dataclass(frozen=True, slots=True)
class There:
    """The difference in dB between one clip and the first at a frequency that a note names.

    None where no difference counts.
    """

    letter: str
    db: float | None

    @property
    def words(self) -> str:
        if self.db is None:
            return _("{clips}: no difference that counts").format(clips=self.letter)
        said = _("{clip}: {db} dB more than A") if self.db > 0 else _("{clip}: {db} dB less than A")
        return said.format(clip=self.letter, db=number(abs(self.db), 1))


@dataclass(frozen=True, slots=True)
class Pointed:
    """A place in the spectrum that a note names, and what the clips do there."""

    named: NamedFrequency
    there: list[There]

    @property
    def there_words(self) -> str:
        """What each clip does there, and in one go all that do nothing that counts."""
        same = [each.letter for each in self.there if each.db is None]
        words = [each.words for each in self.there if each.db is not None]
        if same:
            words.append(_("{clips}: no difference that counts").format(clips=all_of(same)))
        return apart(words)

    @property
    def range_words(self) -> str:
        return _("{low} to {high}").format(
            low=told(hertz_words(self.named.low_hz)), high=told(hertz_words(self.named.high_hz))
        )


@dataclass(frozen=True, slots=True)
class NamedByNote:
    note: Note
    pointed: list[Pointed]


def beside(notes: Iterable[Note], comparison: SideBySide) -> list[NamedByNote]:
    """Each note once, with the places it names."""
    return [
        NamedByNote(
            note, [Pointed(named, _there(named, comparison.others)) for named in _named(note)]
        )
        for note in dict.fromkeys(notes)
    ]


def _named(note: Note) -> list[NamedFrequency]:
    return named_in(f"{note.words}\n{note.reading}")[:SHOWN]


def _there(named: NamedFrequency, sides: Iterable[Side]) -> list[There]:
    return [
        There(side.letter, side.reading.between(named.low_hz, named.high_hz))
        for side in sides
        # The first clip has no reading: it is what the others are read against.
        if side.reading
    ]
