"""The air of a leg's shows against the rehearsal room's, ready to show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst

from core.models import Production, RehearsalRoom, Show
from core.models.air import WithAir
from rigs.whatif.air import Room, band_label, changes, in_words
from rigs.whatif.plots import air_plot

NO_ROOM = Room("the rehearsal room")


@dataclass(frozen=True)
class Compared:
    """One room and what differs from the reference; `reference` is how a sentence calls it."""

    room: Room
    before: Room
    reference: str = "the rehearsal room"

    @cached_property
    def difference(self) -> dict[str, float] | None:
        return changes(self.before, self.room)

    @property
    def words(self) -> str:
        """One sentence where both are known, empty otherwise."""
        return in_words(self.difference, self.reference) if self.difference else ""

    @property
    def problems(self) -> list[str]:
        """What is not known and is therefore not worked out."""
        return [*_problems(self.room, self.room.name), *_problems(self.before, self.reference)]

    @property
    def assumes(self) -> list[str]:
        """Each assumption with the place it is made for."""
        told = ((self.room, self.room.name), (self.before, self.reference))
        return [
            f"{capfirst(name)}: {room.assumes}"
            for room, name in told
            if room.losses and room.assumes
        ]

    @property
    def rows(self) -> list[tuple[str, float | None, float | None, float | None]]:
        """Band, dB lost before, dB lost here, difference: for a table."""
        here, there, apart = self.room.losses, self.before.losses, self.difference
        if here is None:
            return []
        return [
            (
                band_label(band),
                there[band] if there else None,
                here[band],
                apart[band] if apart else None,
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
        """SVG of what the air takes from each band; empty without measurements."""
        if self.room.losses is None:
            return SafeString("")
        losses = {self.room.name: self.room.losses}
        if self.before.losses is not None:
            losses[capfirst(self.reference)] = self.before.losses
        title = f"What the air takes from each octave band: {self.room.name}"
        # rigs.drawing.svg escapes every word it writes.
        return mark_safe(air_plot(losses, title=title, desc=self._told()))  # noqa: S308

    def _told(self) -> str:
        told = [
            f"{band} {-here:.1f} dB".replace("-", "−")
            for band, _, here, _ in self.rows
            if here is not None
        ]
        words = f"{self.room.name}: {', '.join(told)}."
        return f"{words} {self.words}".strip()


def _problems(room: Room, name: str) -> list[str]:
    missing = [f"{capfirst(name)}: {', '.join(room.missing)} not measured."] if room.missing else []
    return [*missing, f"{capfirst(name)}: {room.beyond}"] if room.beyond else missing


def rehearsal_room(production: Production) -> Room | None:
    """The reference of a production; None where nobody has entered one. One query."""
    found = RehearsalRoom.objects.filter(production=production).first()
    return _room(found, found.name, found.listening_distance_m) if found else None


def room_of(show: Show, *, dated: bool = False) -> Room:
    name = f"{show.room}, {show.held_on.day} {show.held_on:%b %Y}" if dated else show.room
    return _room(show, name, show.mix_distance_m)


def _room(measured: WithAir, name: str, metres: object) -> Room:
    values = (measured.temperature_c, measured.humidity_pct, measured.pressure_kpa, metres)
    return Room(name, *(None if value is None else float(str(value)) for value in values))


def compare(shows: Iterable[Show], reference: Room | None) -> list[tuple[Show, Compared]]:
    return [(show, Compared(room_of(show), reference or NO_ROOM)) for show in shows]
