"""Mark the controls of a panel on a photo, one gesture each."""

from __future__ import annotations

import math
from uuid import UUID

from django.conf import settings
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.uploads import apart
from core.views.pages import asked_id, posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.knob_check.circle_form import CirclesForm
from rigs.knob_check.proposing import propose_circle
from rigs.knob_check.reading import UnreadablePicture
from rigs.models import Control, Photo
from rigs.photos.storage import open_file
from rigs.settings_of_controls import USUAL_TRAVEL, Travel, read_travel, setting_at


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def circles(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """Circles, slots and positions of all controls of the panel, saved as one change."""
    photo = find_part(request, Photo, rig_id, photo_id, "image")
    own = address(photo.rig, "photo", photo.pk)
    if photo.retired:
        return retired_page(request, photo, own)
    return change_page(
        request,
        CirclesForm(photo, posted(request)),
        heading="Mark the controls of a panel",
        done_url=own,
        template="rigs/knob_check/circles.html",
        success="The marks are saved. Later photos can be compared with this one.",
        photo=photo,
        next_url=f"{own}#pins",
    )


@require_safe
@production_view(Action.EDIT_RIG)
def propose(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """What the program proposes, for people to put right: `circle` about the cap at `?x=` and `?y=`
    (per cent, as on the form), None where there is none; `setting` of the dial `?control=` whose
    pointer stands at `?angle=` degrees clockwise from straight up, with the ends of its travel
    `?from=` and `?to=`, empty where it cannot."""
    photo = find_part(request, Photo, rig_id, photo_id, "image")
    x, y, angle = (_number(request.GET.get(name, "")) for name in ("x", "y", "angle"))
    circle = _circle(photo, x / 100, y / 100) if x is not None and y is not None else None
    control = asked_id(request, "control")
    setting = ""
    if control is not None and angle is not None:
        dial = get_object_or_404(Control, pk=control, rig=photo.rig)
        setting = setting_at(dial.style, angle, dial.low, dial.high, _travel(request))
    return JsonResponse({"circle": circle, "setting": setting})


def _travel(request: ProductionRequest) -> Travel:
    try:
        return read_travel(*(request.GET.get(name, "") for name in ("from", "to")))
    except ValueError:  # still being typed
        return USUAL_TRAVEL


def _number(text: str) -> float | None:
    try:
        number = float(text)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _circle(photo: Photo, x: float, y: float) -> dict[str, float] | None:
    file, _ = open_file(photo.image)
    with file:
        data = file.read()
    try:
        found = apart.run(propose_circle, data, x, y, seconds=settings.KNOB_CHECK_SECONDS)
    except (apart.TookTooLong, apart.Died, UnreadablePicture):
        return None
    if found is None:
        return None
    return {name: round(getattr(found, name) * 100, 2) for name in ("x", "y", "radius")}
