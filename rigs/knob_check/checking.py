"""Compare photos of now with photos that have circles, and keep what was read. Changes no rig."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.conf import settings
from django.db import transaction

from core.models import Show, User
from core.uploads import apart
from rigs.knob_check.doubt import Reason
from rigs.knob_check.laying import Laid, read_and_lay
from rigs.knob_check.marks import circle_of
from rigs.knob_check.reading import Cap, UnreadablePicture
from rigs.knob_check.references import Circled, Reference
from rigs.models import PanelCheck, Photo
from rigs.photos.prepare import Prepared
from rigs.photos.storage import open_file, store

BY_EYE = "switches and faders are not read"


class CannotCheck(ValueError):
    """The photos were not compared; the message says why, in words fit for a form."""


def compare(reference: Reference, picture: Prepared) -> dict[str, Any]:
    """What `picture` shows of each mark of `reference`: the columns of a PanelCheck. Writes
    nothing. Raises CannotCheck, StoredFileUnreadable."""
    image = reference.photo.image
    aspect = image.height / image.width
    circles = {each.pin.pk: circle_of(each.pin, aspect) for each in reference.marks}
    knobs = [each for each in reference.marks if each.pin.cap_radius]
    others = [each for each in reference.marks if not each.pin.cap_radius]
    file, _ = open_file(image)
    with file:
        before = file.read()
    try:
        laid = apart.run(
            read_and_lay,
            before,
            picture.full,
            [Cap(*circles[each.pin.pk], float(each.pin.cap_inner or 0)) for each in knobs],
            [Cap(*circles[each.pin.pk]) for each in others],
            seconds=settings.KNOB_CHECK_SECONDS,
        )
    except apart.TookTooLong:
        raise CannotCheck("This took too long. Try a photo of the panel alone.") from None
    except (apart.Died, UnreadablePicture):
        raise CannotCheck("The picture could not be read. Take it again.") from None
    if _is_other_panel(laid):
        raise CannotCheck(
            f"This is not the panel of “{reference.photo}”, or it cannot be laid over it: take it "
            "nearer, from the front, in even light."
        )
    return {
        "readings": [
            _reading(each, laid, place, circles[each.pin.pk])
            for place, each in enumerate([*knobs, *others])
        ],
        "plane": list(laid.plane),
    }


def _is_other_panel(laid: Laid) -> bool:
    reasons = [reading.reason for reading in laid.readings]
    return not laid.plane or (bool(reasons) and all(r == Reason.OTHER_PANEL for r in reasons))


def _reading(each: Circled, laid: Laid, place: int, circle: Sequence[float]) -> dict[str, Any]:
    reading = laid.readings[place] if place < len(laid.readings) else None
    turn = None if reading is None or reading.turn is None else round(reading.turn, 1)
    return {
        "pin": str(each.pin.pk),
        "control": str(each.control.pk),
        "name": f"{each.control} of {each.control.unit}",
        "shown": each.pin.cap_setting,
        "turn": turn,
        "reason": BY_EYE if reading is None else str(reading.reason or ""),
        "circle": [round(part, 5) for part in circle],
        "seen": list(laid.seen[place]),
    }


@transaction.atomic
def keep(
    photo: Photo, picture: Prepared, found: Mapping[str, Any], *, by: User, show: Show | None
) -> PanelCheck:
    """Keep the photo and what was read on it, by `compare`. The same photo compared with the same
    one again is the check that is there."""
    image = store(picture, production=photo.rig.production, taken_by=by)
    fresh = PanelCheck(before_id=photo.image_id, show=show, by=by, by_name=by.name, **found)
    fresh.stamp("at")
    columns = (
        *("before_id", "show", "by", "by_name", "readings", "plane"),
        *("at", "page_at", "arrived_at", "device_said"),
    )
    check, _ = PanelCheck.objects.get_or_create(
        reference=photo, image=image, defaults={name: getattr(fresh, name) for name in columns}
    )
    return check
