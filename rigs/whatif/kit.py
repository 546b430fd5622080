"""A kit's drums by pitch, the intervals between neighbours, and one drum tuned otherwise.

The functions before the form are pure: quantities in SI go in, a WhatIfAnswer comes out.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext, pgettext_lazy

from rigs.checks.bench import Bench, BenchUnit
from rigs.models import Control
from rigs.signal.drums import kit_intervals
from rigs.signal.notes import format_note, frequency, nearest_note, parse_note, semitones
from rigs.whatif.answers import ProposedValue, Subject, Table, WhatIfAnswer, hertz, number
from rigs.whatif.forms import QuestionFields
from rigs.whatif.topic import Topic

COLUMNS = (
    gettext_lazy("Drum"),
    pgettext_lazy("of a drum", "Pitch"),
    gettext_lazy("Frequency"),
    gettext_lazy("Above the one below"),
)
ASSUMES = (
    gettext_lazy(
        "The note or frequency that a pitch begins with counts, whichever head "
        "it was taken from. Equal temperament, A4 = 440 Hz. A drum has two heads "
        "and no pure pitch: let the ear decide."
    ),
)
UNREAD = gettext_lazy(
    "Begin with a note and its octave, such as A2, or with a frequency, such as 98 Hz."
)
# Pitches that differ by less are one pitch. Common practice, no source.
SAME_CENTS = 5
_NAMES = (
    pgettext_lazy("interval", "unison"),
    pgettext_lazy("interval", "a semitone"),
    pgettext_lazy("interval", "a whole tone"),
    pgettext_lazy("interval", "a minor third"),
    pgettext_lazy("interval", "a major third"),
    pgettext_lazy("interval", "a fourth"),
    pgettext_lazy("interval", "a tritone"),
    pgettext_lazy("interval", "a fifth"),
    pgettext_lazy("interval", "a minor sixth"),
    pgettext_lazy("interval", "a major sixth"),
    pgettext_lazy("interval", "a minor seventh"),
    pgettext_lazy("interval", "a major seventh"),
    pgettext_lazy("interval", "an octave"),
)
_HERTZ = re.compile(r"(\d{1,5}(?:[.,]\d{1,3})?)\s*Hz\b", re.IGNORECASE | re.ASCII)


class TunedDrum(NamedTuple):
    """A drum and its pitch as it is written; None for a drum without a control to write it in."""

    id: str
    name: str
    pitch: str | None


def read(pitch: str) -> float | None:
    """The frequency in Hz with which a written pitch begins; None if it begins with none.

    It may be written as a note or in Hz.
    """
    try:
        if match := _HERTZ.match(pitch.strip()):
            hz = float(match[1].replace(",", "."))
            # Refuses a frequency that is near no note, since the table could not name it.
            nearest_note(hz)
            return hz
        return float(frequency(float(parse_note(re.split(r"[\s,;/]", pitch.strip())[0]))))
    except ValueError:
        return None


def intervals_of(drums: Sequence[TunedDrum]) -> WhatIfAnswer:
    """The intervals of the kit as it is tuned now."""
    return WhatIfAnswer(
        tables=_tables(drums, _("The kit, low to high")),
        problems=tuple(_problems(drums)),
        assumes=tuple(str(each) for each in ASSUMES),
    )


def answer(
    drums: Sequence[TunedDrum], subject: str, pitch: str, proposal: ProposedValue | None
) -> WhatIfAnswer:
    """The intervals with another pitch of one drum. Raises ValueError if it cannot be read."""
    after = read(pitch)
    if after is None:
        raise ValueError(UNREAD)
    tuned = next(drum for drum in drums if drum.id == subject)
    then = [drum._replace(pitch=pitch) if drum is tuned else drum for drum in drums]
    return WhatIfAnswer(
        _words(tuned, after),
        (*_tables(then, _("Then, low to high")), *_tables(drums, _("Now, low to high"))),
        problems=tuple(_problems(then)),
        assumes=tuple(str(each) for each in ASSUMES),
        proposal=proposal,
    )


def interval_words(steps: float) -> str:
    """An interval in words: “5 semitones, a fourth”; in tenths where it is no whole number."""
    whole = round(steps)
    if abs(steps - whole) * 100 > SAME_CENTS:
        return _("{steps} semitones").format(steps=number(steps, ""))
    if whole == 0:
        return pgettext("interval", "the same pitch")
    octaves, rest = divmod(whole, 12)
    if whole < len(_NAMES):
        name = str(_NAMES[whole])
    elif rest:
        name = ngettext("an octave and {interval}", "{n} octaves and {interval}", octaves).format(
            n=octaves, interval=_NAMES[rest]
        )
    else:
        name = ngettext("an octave", "{n} octaves", octaves).format(n=octaves)
    words = ngettext("{n} semitone, {interval}", "{n} semitones, {interval}", whole)
    return words.format(n=whole, interval=name)


def _tables(drums: Sequence[TunedDrum], caption: str) -> tuple[Table, ...]:
    pitched = [(hz, drum) for drum in drums if (hz := read(drum.pitch or "")) is not None]
    pitched.sort(key=lambda pair: pair[0])
    if not pitched:
        return ()
    heights = kit_intervals([hz for hz, _ in pitched]) if len(pitched) > 1 else []
    above = [pgettext("of drums", "the lowest"), *(interval_words(steps) for steps in heights)]
    rows = [
        (drum.name, _note(hz), hertz(hz, ""), words)
        for (hz, drum), words in zip(pitched, above, strict=True)
    ]
    return (Table(caption, COLUMNS, tuple(rows)),)


def _note(hz: float) -> str:
    midi, cents = nearest_note(hz)
    if abs(cents) <= SAME_CENTS:
        return format_note(midi)
    return _("{note} {cents} cents").format(
        note=format_note(midi), cents=number(cents, "", 0, sign=True)
    )


def _problems(drums: Sequence[TunedDrum]) -> list[str]:
    """Sentences on what is not in the table, and why."""
    problems = []
    for drum in drums:
        if not (drum.pitch or "").strip():
            problems.append(_("{drum}: no pitch stated.").format(drum=drum.name))
        elif read(drum.pitch or "") is None:
            problems.append(
                _("{drum}: “{pitch}” begins with no note and no frequency.").format(
                    drum=drum.name, pitch=drum.pitch
                )
            )
    if len(drums) - len(problems) < 2:
        problems.append(_("No interval without two pitches."))
    return problems


def _words(drum: TunedDrum, after: float) -> str:
    before = read(drum.pitch or "")
    if before is None:
        return _("{drum} would stand at {note}.").format(drum=drum.name, note=_note(after))
    steps = semitones(before, after)
    if abs(steps) * 100 <= SAME_CENTS:
        return _("{drum} stays at {note}.").format(drum=drum.name, note=_note(before))
    words = (
        _("{drum} goes from {before} to {after}, up by {interval}.")
        if steps > 0
        else _("{drum} goes from {before} to {after}, down by {interval}.")
    )
    return words.format(
        drum=drum.name,
        before=_note(before),
        after=_note(after),
        interval=interval_words(abs(steps)),
    )


PITCH = "pitch"


class KitQuestion(QuestionFields):
    pitch = forms.CharField(
        label=gettext_lazy("another pitch"),
        max_length=Control._meta.get_field("setting").max_length,
        help_text=gettext_lazy("A2, or 98 Hz; words may follow."),
    )

    def clean_pitch(self) -> str:
        words: str = self.cleaned_data["pitch"]
        if read(words) is None:
            raise ValidationError(UNREAD)
        return words


class KitTopic(Topic):
    key, label, icon = "kit", gettext_lazy("Kit"), "drum"
    nothing = gettext_lazy("No drum is in this rig.")
    question = KitQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(drum.id, drum.name) for drum in _drums(bench)]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        unit = bench.units[subject]
        return {"pitch": unit.settings.get(_control(unit) or "", "")}

    def known(self, bench: Bench, subject: str) -> WhatIfAnswer:
        """The intervals as they are, before anything is asked."""
        return intervals_of(_drums(bench))

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        unit, pitch = bench.units[subject], typed["pitch"]
        control = _control(unit)
        proposal = (
            ProposedValue("control", unit.controls[control], "setting", pitch) if control else None
        )
        return answer(_drums(bench), subject, pitch, proposal)


def _drums(bench: Bench) -> list[TunedDrum]:
    return [
        TunedDrum(unit.id, unit.name, unit.settings.get(_control(unit) or ""))
        for unit in bench.units.values()
        if unit.traits.drum_heads
    ]


def _control(unit: BenchUnit) -> str | None:
    """The name of the control that a drum's pitch is written in."""
    return next((name for name in unit.settings if name.strip().casefold() == PITCH), None)
