"""Mark the controls of a panel on a photo, one gesture each."""

from __future__ import annotations

import math
from uuid import UUID

from django.http import HttpResponse, JsonResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import asked_id, posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.knob_check.circle_form import CirclesForm
from rigs.knob_check.proposals import proposed
from rigs.models import Photo
from rigs.settings_of_controls import USUAL_TRAVEL, Travel, read_travel


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
        heading=_("Mark the controls of a panel"),
        done_url=own,
        template="rigs/knob_check/circles.html",
        success=_("The marks are saved. Later photos can be compared with this one."),
        photo=photo,
        next_url=f"{own}#pins",
    )


@require_safe
@production_view(Action.EDIT_RIG)
def propose(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """What the program proposes, for people to put right: `circle` about the cap at `?x=` and `?y=`
    (per cent, as on the form), None where there is none; `angle` of its pointer, `?angle=` or as
    read, in degrees clockwise from straight up; `setting` of the dial `?control=` whose pointer
    stands so, with the ends of its travel `?from=` and `?to=`, empty where it cannot."""
    photo = find_part(request, Photo, rig_id, photo_id, "image")
    x, y, angle = (_number(request.GET.get(name, "")) for name in ("x", "y", "angle"))
    control = asked_id(request, "control")
    return JsonResponse(
        proposed(photo, x=x, y=y, control=control, angle=angle, travel=_travel(request))
    )


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
