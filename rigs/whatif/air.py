"""The air between stage and mix position, and how a room's differs from another's. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from rigs.signal.air import STANDARD_PASCALS, Air, band_losses, delay_seconds, speed_of_sound

STANDARD_KPA = STANDARD_PASCALS / 1000
# The range of the formulas (rigs.signal.air); a meter may show more.
COLDEST, HOTTEST = -20.0, 50.0
# A band that differs by less is not worth a word: below what a change of level is heard at.
# Common practice, no source.
WORTH_SAYING_DB = 0.5
LEFT_OUT = (
    "The air only: the room, the audience, the loudspeakers and the spreading of sound with "
    "distance are left out."
)


@dataclass(frozen=True)
class Room:
    """°C, %, kPa and metres from the loudspeakers to the listener; None where not measured."""

    name: str
    celsius: float | None = None
    humidity: float | None = None
    kilopascals: float | None = None
    metres: float | None = None

    @property
    def missing(self) -> list[str]:
        """What the loss cannot be worked out without."""
        values = {
            "temperature": self.celsius,
            "humidity": self.humidity,
            "distance": self.metres,
        }
        return [name for name, value in values.items() if value is None]

    @property
    def beyond(self) -> str:
        """Words where the formulas do not reach; empty where they do."""
        if self.celsius is None or COLDEST <= self.celsius <= HOTTEST:
            return ""
        return (
            f"{self.celsius:g} °C lies outside {COLDEST:g} to {HOTTEST:g} °C, "
            "which the formulas cover."
        ).replace("-", "−")

    @cached_property
    def speed(self) -> float | None:
        """Speed of sound in m/s."""
        return None if self.celsius is None or self.beyond else speed_of_sound(self.celsius)

    @cached_property
    def delay(self) -> float | None:
        """Seconds from the loudspeakers to the listener."""
        if self.speed is None or self.celsius is None or self.metres is None:
            return None
        return delay_seconds(self.metres, self.celsius)

    @cached_property
    def losses(self) -> dict[str, float] | None:
        """dB lost to the air over the distance, by octave band."""
        if self.celsius is None or self.humidity is None or self.metres is None or self.beyond:
            return None
        pascals = (self.kilopascals or STANDARD_KPA) * 1000
        return band_losses(self.metres, Air(self.celsius, self.humidity, pascals))

    @property
    def assumes(self) -> str:
        if self.kilopascals is not None:
            return ""
        return f"Air pressure not stated: {STANDARD_KPA:g} kPa assumed, the standard atmosphere."


def changes(before: Room, after: Room) -> dict[str, float] | None:
    """Change of level in dB by octave band from one room to the other; None if not known."""
    if before.losses is None or after.losses is None:
        return None
    return {band: before.losses[band] - after.losses[band] for band in before.losses}


def band_label(band: str) -> str:
    """“8 kHz” for 8k, “63 Hz” for 63."""
    return f"{band.removesuffix('k')} {'kHz' if band.endswith('k') else 'Hz'}"


def in_words(difference: dict[str, float], reference: str) -> str:
    """“At 8 kHz 4.1 dB less than in the rehearsal room.”, the highest band first."""
    told = [
        f"at {band_label(band)} {abs(change):.1f} dB {'more' if change > 0 else 'less'}"
        for band, change in reversed(difference.items())
        if abs(change) >= WORTH_SAYING_DB
    ]
    if not told:
        return (
            f"No octave band from 63 Hz to 8 kHz is {WORTH_SAYING_DB:g} dB or more from what "
            f"it is in {reference}."
        )
    words = ", ".join(told)
    return f"{words[0].upper()}{words[1:]} than in {reference}."
