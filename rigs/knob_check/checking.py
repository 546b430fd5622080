"""A photo of now against a photo with circles: what of each knob is to be said. Writes nothing."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass
from typing import NamedTuple
from urllib.parse import urlencode

from django.conf import settings

from core.uploads import apart
from rigs.editing.pages import address
from rigs.knob_check.reading import Cap, Reading, UnreadablePicture, read_turns
from rigs.models import Control, Photo, Pin
from rigs.photos.prepare import Prepared
from rigs.photos.storage import open_file
from rigs.settings_of_controls import angle_of, setting_at

SAME_DEG = 8.0  # what is told may be off by so much; what is nearer counts as documented


class CannotCheck(ValueError):
    """The photos were not compared; the message says why, in words fit for a form."""


class Circled(NamedTuple):
    """A pin with a circle and the dial it points at."""

    pin: Pin
    control: Control


@dataclass(frozen=True)
class KnobState:
    """One knob as a photo shows it. `off` in degrees clockwise from what is documented; None where
    it cannot be told, `reason` says why. `stands` is the setting it then points at, or empty."""

    control: Control
    off: float | None
    reason: str
    stands: str
    before: str
    after: str

    @property
    def is_same(self) -> bool:
        return self.off is not None and abs(self.off) <= SAME_DEG

    @property
    def off_words(self) -> str:
        """By how much it is turned, and which way."""
        if self.off is None:
            return ""
        way = "clockwise" if self.off > 0 else "anticlockwise"
        return f"turned {abs(self.off):.0f}° {way}"

    @property
    def take_url(self) -> str:
        """The form that takes over how it stands."""
        asked = urlencode({"setting": self.stands})
        return f"{address(self.control.rig, 'knob_take_over', self.control.pk)}?{asked}"


def circled(photo: Photo) -> list[Circled]:
    """The pins of the photo with a circle over a dial that is in use. Two queries."""
    pins = list(
        Pin.objects.live()
        .filter(photo=photo, cap_radius__gt=0, about__isnull=False)
        .order_by("position", "pk")
    )
    dials = Control.objects.live().filter(rig=photo.rig_id, pk__in=[pin.about for pin in pins])
    known = {dial.pk: dial for dial in dials.select_related("rig", "unit")}
    return [Circled(pin, known[pin.about]) for pin in pins if pin.about in known]


def check(photo: Photo, picture: Prepared) -> list[KnobState]:
    """Each circled knob of `photo` as `picture` shows it.

    Raises CannotCheck, StoredFileUnreadable.
    """
    pairs = circled(photo)
    file, _ = open_file(photo.image)
    with file:
        reference = file.read()
    within_s = settings.KNOB_CHECK_SECONDS
    try:
        readings = apart.run(
            read_turns,
            reference,
            picture.full,
            [_cap(each.pin) for each in pairs],
            seconds=within_s,
        )
    except apart.TookTooLong:
        raise CannotCheck("This took too long. Try a photo of the panel alone.") from None
    except (apart.Died, UnreadablePicture):
        raise CannotCheck("The picture could not be read. Take it again.") from None
    return [_state(each, reading) for each, reading in zip(pairs, readings, strict=True)]


def _cap(pin: Pin) -> Cap:
    return Cap(float(pin.x), float(pin.y), float(pin.cap_radius or 0), float(pin.cap_inner or 0))


def _state(each: Circled, reading: Reading) -> KnobState:
    control = each.control
    scale = (control.low, control.high)
    shown = _angle(control, each.pin.cap_setting)
    documented = _angle(control, control.setting)
    off, reason, stands = None, str(reading.reason or ""), ""
    if reading.turn is not None and (shown is None or documented is None):
        reason = "how it stands on the first photo, or now, is not documented"
    elif reading.turn is not None and shown is not None and documented is not None:
        now = shown + reading.turn
        off = (now - documented + 180.0) % 360.0 - 180.0
        stands = setting_at(control.style, now, *scale)
        if not stands:
            # A knob cannot stand outside its travel: one of the photos is not what it seems.
            off, reason = None, "it would point below its travel"
    return KnobState(
        control, off, reason, stands, _as_address(reading.before), _as_address(reading.after)
    )


def _angle(control: Control, setting: str) -> float | None:
    try:
        return angle_of(control.style, setting, control.low, control.high)
    except ValueError:  # written on another scale, which the dial had then
        return None


def _as_address(jpeg: bytes) -> str:
    return f"data:image/jpeg;base64,{b64encode(jpeg).decode()}" if jpeg else ""
