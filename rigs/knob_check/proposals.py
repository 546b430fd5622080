"""What is proposed for a panel that is documented for the first time, for people to put right."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.conf import settings
from django.shortcuts import get_object_or_404

from core.uploads import apart
from rigs.knob_check.pointing import circle_and_pointer
from rigs.knob_check.reading import UnreadablePicture
from rigs.models import Control, Photo
from rigs.photos.storage import open_file
from rigs.settings_of_controls import USUAL_TRAVEL, Travel, setting_at


def proposed(
    photo: Photo,
    *,
    x: float | None = None,
    y: float | None = None,
    control: UUID | None = None,
    angle: float | None = None,
    travel: Travel = USUAL_TRAVEL,
) -> dict[str, Any]:
    """`circle` about the cap at `x` and `y` (per cent of the picture), None where there is none;
    `angle`, degrees clockwise from straight up, at which its pointer is read or was given, None
    where it is not known; `setting` of the dial `control` whose pointer stands so, empty where it
    cannot. Writes nothing. Raises Http404 for a control of another rig."""
    circle = None
    if x is not None and y is not None:
        circle, read = _seen(photo, x / 100, y / 100)
        angle = read if angle is None else angle
    setting = ""
    if control is not None:
        dial = get_object_or_404(Control.objects.live(), pk=control, rig=photo.rig)
        if angle is not None:
            setting = setting_at(dial.style, angle, dial.low, dial.high, travel)
    return {
        "circle": circle,
        "angle": None if angle is None else round(angle, 1),
        "setting": setting,
    }


def _seen(photo: Photo, x: float, y: float) -> tuple[dict[str, float] | None, float | None]:
    file, _ = open_file(photo.image)
    with file:
        data = file.read()
    try:
        found, angle = apart.run(
            circle_and_pointer, data, x, y, seconds=settings.KNOB_CHECK_SECONDS
        )
    except (apart.TookTooLong, apart.Died, UnreadablePicture):
        return None, None
    if found is None:
        return None, None
    return {name: round(getattr(found, name) * 100, 2) for name in ("x", "y", "radius")}, angle
