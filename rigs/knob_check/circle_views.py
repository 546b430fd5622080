"""Mark the controls of a panel on a photo, one gesture each."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.knob_check.circle_form import CirclesForm
from rigs.models import Photo


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
