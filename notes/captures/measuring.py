"""What two clips say of each other, beside what the tape measure says."""

from __future__ import annotations

from dataclasses import dataclass

from notes.clips.reading import start_of
from notes.listening.align import Alignment, align
from notes.listening.relation import relate
from notes.models import Clip
from rigs.models import Device, Input
from rigs.signal.air import speed_of_sound
from rigs.signal.combs import nulls
from rigs.signal.placement import arrival_difference

LONGEST_S = 20.0
REACH_S = 0.05  # 17 m of air: further apart than anything on one stage
ASSUMED_CELSIUS = 20.0
# How far the best delay must stand out, how much of one sound must be in the other, and how far
# tape and sound may differ: 0.1 ms is 3 cm of air. Conventions of this program, no source.
SURE, SHARED, AGREE_S, AGREE_SHARE = 0.25, 0.45, 0.0001, 0.1


class CannotMeasure(Exception):
    """The two clips cannot be set against each other; the message says why."""


@dataclass(frozen=True, slots=True)
class Measured:
    """Positive seconds: the second capture is later. `predicted_s` is None without the tape."""

    first: Clip
    second: Clip
    found: Alignment
    shared: float  # 0 to 1: how much of the one is a steady filtering of the other
    rate_hz: int
    predicted_s: float | None
    why_not: str
    celsius: float
    celsius_known: bool

    @property
    def is_sure(self) -> bool:
        return self.found.confidence >= SURE and self.shared >= SHARED

    @property
    def inverted(self) -> bool:
        return self.found.polarity < 0

    @property
    def later(self) -> Clip:
        return self.second if self.found.delay_s >= 0 else self.first

    @property
    def earlier(self) -> Clip:
        return self.first if self.found.delay_s >= 0 else self.second

    @property
    def apart_ms(self) -> float:
        return abs(self.found.delay_s) * 1000

    @property
    def metres(self) -> float:
        return abs(self.found.delay_s) * float(speed_of_sound(self.celsius))

    @property
    def first_notch_hz(self) -> float | None:
        if not self.found.delay_s:
            return None
        notches = nulls(abs(self.found.delay_s), inverted=self.inverted)
        above = [float(hz) for hz in notches if hz > 0]
        return above[0] if above else None

    @property
    def predicted_ms(self) -> float:
        return (self.predicted_s or 0.0) * 1000

    @property
    def differ_ms(self) -> float:
        return abs(self.found.delay_s - (self.predicted_s or 0.0)) * 1000

    @property
    def metres_words(self) -> str:
        return f"{self.metres * 100:.0f} cm"

    @property
    def agrees(self) -> bool | None:
        """Whether sound and tape say the same; None where one of them says nothing."""
        if self.predicted_s is None or not self.is_sure:
            return None
        allowed = max(AGREE_S, AGREE_SHARE * abs(self.predicted_s))
        return abs(self.found.delay_s - self.predicted_s) <= allowed

    @property
    def words(self) -> str:
        """The measurement in one sentence, as it goes into a note."""
        if not self.is_sure:
            return "The two hang together too loosely to say how far apart they are."
        polarity = "polarity opposed" if self.inverted else "polarity alike"
        return (
            f"Measured from clips: {self.later.input.name} comes {self.apart_ms:.2f} ms after "
            f"{self.earlier.input.name} ({self.metres_words} of air), {polarity}."
        )


def measure(first: Clip, second: Clip) -> Measured:
    """Clips of two inputs of one rig, recorded together. Raises CannotMeasure."""
    if first.rig_id != second.rig_id or first.input_id == second.input_id:
        raise CannotMeasure("Take clips of two different inputs of one rig.")
    if first.sound.rate_hz != second.sound.rate_hz:
        raise CannotMeasure("They have different sample rates, so they were not recorded together.")
    rate = first.sound.rate_hz
    try:
        parts = [start_of(clip, round(LONGEST_S * rate)) for clip in (first, second)]
        found = align(parts[0], parts[1], rate, REACH_S)
        shared = relate(parts[0], parts[1], (rate, rate)).shared
    except FileNotFoundError:
        raise CannotMeasure("The sound of one of them is missing from the storage.") from None
    except ValueError as error:
        raise CannotMeasure(f"They cannot be aligned: {error}.") from None
    celsius, known = _air(first)
    predicted, why_not = predict(first.input, second.input, float(speed_of_sound(celsius)))
    return Measured(first, second, found, shared, rate, predicted, why_not, celsius, known)


def _air(clip: Clip) -> tuple[float, bool]:
    room = getattr(clip.production, "rehearsal_room", None)
    if room is not None and room.temperature_c is not None:
        return float(room.temperature_c), True
    return ASSUMED_CELSIUS, False


def predict(first: Input, second: Input, speed: float) -> tuple[float | None, str]:
    """How much later the second should be in seconds, by the tape; or None, and why not."""
    places = [_place(entry) for entry in (first, second)]
    for entry, place in zip((first, second), places, strict=True):
        if place is None:
            return None, f"{entry.name} has no measured distance"
    mics = [entry for entry in (first, second) if not _is_di(entry)]
    if len(mics) == 2 and mics[0].reference_point != mics[1].reference_point:
        return None, "their distances are measured from different points"
    one, other = (float(place or 0.0) for place in places)
    return float(arrival_difference(one, other, speed)), ""


def _place(entry: Input) -> float | None:
    if _is_di(entry):
        return 0.0  # it hears through a cable, which takes no time worth counting
    return None if entry.distance_m is None else float(entry.distance_m)


def _is_di(entry: Input) -> bool:
    return entry.device is not None and entry.device.form == Device.Form.DI
