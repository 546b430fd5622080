"""The air between stage and mix position, and how one room's differs from another's.

The classes are pure; the functions at the end read the rooms of a production and of its shows.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.dates import day
from core.languages.words import number
from core.models import Production, RehearsalRoom, Show
from core.models.air import WithAir
from rigs.checks.figures import listed
from rigs.signal.air import STANDARD_PASCALS, Air, band_losses, delay_seconds, speed_of_sound
from rigs.whatif.answers import air_plot

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

STANDARD_KPA = STANDARD_PASCALS / 1000
# The range of the formulas (rigs.signal.air); a meter may show more.
COLDEST, HOTTEST = -20.0, 50.0
# A band that differs by less is not worth a word: below what a change of level is heard at.
# Common practice, no source.
WORTH_SAYING_DB = 0.5
LEFT_OUT = gettext_lazy(
    "The air only: the room, the audience, the loudspeakers and the "
    "spreading of sound with distance are left out."
)


@dataclass(frozen=True)
class Room:
    """A room in °C, %, kPa and metres from loudspeakers to listener; None where not measured."""

    name: str
    celsius: float | None = None
    humidity: float | None = None
    kilopascals: float | None = None
    metres: float | None = None

    @property
    def missing(self) -> list[StrOrPromise]:
        """What the loss cannot be worked out without."""
        values = {
            gettext_lazy("temperature"): self.celsius,
            gettext_lazy("humidity"): self.humidity,
            gettext_lazy("distance"): self.metres,
        }
        return [name for name, value in values.items() if value is None]

    @property
    def beyond(self) -> str:
        """A sentence where the formulas do not reach; empty where they do."""
        if self.celsius is None or COLDEST <= self.celsius <= HOTTEST:
            return ""
        return _(
            "{celsius} °C lies outside {coldest} to {hottest} °C, which the formulas cover."
        ).format(celsius=number(self.celsius), coldest=number(COLDEST), hottest=number(HOTTEST))

    @cached_property
    def speed(self) -> float | None:
        """The speed of sound in m/s; None where the temperature is missing or not covered."""
        return None if self.celsius is None or self.beyond else speed_of_sound(self.celsius)

    @cached_property
    def delay(self) -> float | None:
        """The time in s from the loudspeakers to the listener; None where not known."""
        if self.speed is None or self.celsius is None or self.metres is None:
            return None
        return delay_seconds(self.metres, self.celsius)

    @cached_property
    def losses(self) -> dict[str, float] | None:
        """The level in dB lost to the air over the distance, by octave band; None if not known."""
        if self.celsius is None or self.humidity is None or self.metres is None or self.beyond:
            return None
        # The only value that is assumed where it is not stated, and told as such by `assumes`.
        pascals = (self.kilopascals or STANDARD_KPA) * 1000
        return band_losses(self.metres, Air(self.celsius, self.humidity, pascals))

    @property
    def assumes(self) -> str:
        if self.kilopascals is not None:
            return ""
        return _(
            "Air pressure not stated: {pressure} kPa assumed, the standard atmosphere."
        ).format(pressure=number(STANDARD_KPA))


def changes(before: Room, after: Room) -> dict[str, float] | None:
    """The change of level in dB by octave band from one room to the other; None if not known."""
    if before.losses is None or after.losses is None:
        return None
    return {band: before.losses[band] - after.losses[band] for band in before.losses}


def band_label(band: str) -> str:
    """The label of an octave band: “8 kHz” for 8k, “63 Hz” for 63."""
    return f"{band.removesuffix('k')} {'kHz' if band.endswith('k') else 'Hz'}"


def in_words(difference: dict[str, float], reference: str) -> str:
    """A sentence, highest band first: “At 8 kHz 4.1 dB less than in the rehearsal room.”"""
    told = [
        (band_label(band), change)
        # The highest band first: it is where the air takes most.
        for band, change in reversed(difference.items())
        if abs(change) >= WORTH_SAYING_DB
    ]
    # Nothing to tell is an answer too, and another one than “not measured”.
    if not told:
        return _(
            "No octave band from 63 Hz to 8 kHz is {level} dB or more from what it is in {room}."
        ).format(level=number(WORTH_SAYING_DB), room=reference)
    words = listed([_phrase(band, change) for band, change in told])
    return capfirst(_("{bands} than in {room}.").format(bands=words, room=reference))


def _phrase(band: str, change: float) -> str:
    words = _("at {band} {level} dB more") if change > 0 else _("at {band} {level} dB less")
    return words.format(band=band, level=number(abs(change), 1))


@dataclass(frozen=True)
class Compared:
    """A room compared with the reference; `reference` is what a sentence calls that one."""

    room: Room
    before: Room
    reference: str

    @cached_property
    def difference(self) -> dict[str, float] | None:
        return changes(self.before, self.room)

    @property
    def words(self) -> str:
        """A sentence on the difference where both rooms are known, empty otherwise."""
        return in_words(self.difference, self.reference) if self.difference else ""

    @property
    def problems(self) -> list[str]:
        """What is not known and is therefore not worked out."""
        return [*_problems(self.room, self.room.name), *_problems(self.before, self.reference)]

    @property
    def assumes(self) -> list[str]:
        """Each assumption with the place it is made for."""
        rooms = ((self.room, self.room.name), (self.before, self.reference))
        return [
            _("{room}: {what}").format(room=capfirst(name), what=room.assumes)
            for room, name in rooms
            if room.losses and room.assumes
        ]

    @property
    def rows(self) -> list[tuple[str, float | None, float | None, float | None]]:
        """Rows of a table: band, dB lost before, dB lost here, difference."""
        here, there, difference = self.room.losses, self.before.losses, self.difference
        if here is None:
            return []
        return [
            (
                band_label(band),
                there[band] if there else None,
                here[band],
                difference[band] if difference else None,
            )
            for band in here
        ]

    @property
    def delay_change_ms(self) -> float | None:
        if self.room.delay is None or self.before.delay is None:
            return None
        return (self.room.delay - self.before.delay) * 1000

    @property
    def delay_ms(self) -> float | None:
        return None if self.room.delay is None else self.room.delay * 1000

    @cached_property
    def drawing(self) -> SafeString:
        """The SVG of what the air takes from each band; empty without measurements."""
        if self.room.losses is None:
            return SafeString("")
        losses = {self.room.name: self.room.losses}
        if self.before.losses is not None:
            losses[capfirst(self.reference)] = self.before.losses
        title = _("What the air takes from each octave band: {room}").format(room=self.room.name)
        # rigs.drawing.svg escapes every word it writes.
        return mark_safe(air_plot(losses, title=title, desc=self._described()))  # noqa: S308

    def _described(self) -> str:
        phrases = [
            f"{band} {number(-here, 1)} dB" for band, _, here, _ in self.rows if here is not None
        ]
        words = _("{room}: {what}.").format(room=self.room.name, what=listed(phrases))
        return f"{words} {self.words}".strip()


def _problems(room: Room, name: str) -> list[str]:
    problems = []
    if room.missing:
        words = _("{room}: {missing} not measured.")
        problems.append(words.format(room=capfirst(name), missing=listed(room.missing)))
    if room.beyond:
        problems.append(_("{room}: {what}").format(room=capfirst(name), what=room.beyond))
    return problems


_ROOM: Any = Production._meta.get_field("rehearsal_room")


def rehearsal_room(production: Production) -> Room | None:
    """The reference of a production; None where nobody has entered one. One query; none where the
    production was read with its `rehearsal_room`."""
    if _ROOM.is_cached(production):
        room = _ROOM.get_cached_value(production)
    else:
        room = RehearsalRoom.objects.filter(production=production).first()
    return _room(room, room.name, room.listening_distance_m) if room else None


def room_of(show: Show, *, dated: bool = False) -> Room:
    name = f"{show.room}, {day(show.held_on)}" if dated else show.room
    return _room(show, name, show.mix_distance_m)


def _room(measured: WithAir, name: str, metres: object) -> Room:
    values = (measured.temperature_c, measured.humidity_pct, measured.pressure_kpa, metres)
    return Room(name, *(None if value is None else float(str(value)) for value in values))


def compare(shows: Iterable[Show], reference: Room | None) -> list[tuple[Show, Compared]]:
    called = _("the rehearsal room")
    return [(show, Compared(room_of(show), reference or Room(called), called)) for show in shows]
