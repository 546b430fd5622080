"""How one of two photos of the same thing lies on the other, for the page that compares them."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.uploads import apart
from rigs.editing.pages import find_part
from rigs.knob_check.laying import lay
from rigs.knob_check.reading import UnreadablePicture
from rigs.models import Photo, StoredPhoto
from rigs.photos.serve import YEAR
from rigs.photos.storage import open_file


@require_safe
@production_view(Action.READ)
def laid(
    request: ProductionRequest, rig_id: UUID, photo_id: UUID, other_photo_id: UUID
) -> HttpResponse:
    """`plane`: nine numbers as of `rigs.knob_check.laying.Checked`, or none where the two cannot be
    laid on each other. Takes a second, so it is asked for when somebody wants to see it."""
    first = find_part(request, Photo, rig_id, photo_id, "image")
    second = find_part(request, Photo, rig_id, other_photo_id, "image")
    alike = first.image_id == second.image_id
    response = JsonResponse({"plane": [] if alike else _plane(first.image, second.image)})
    if request.GET.get("v") == f"{first.image_id}-{second.image_id}":
        # The address names both pictures, so the answer never changes.
        response["Cache-Control"] = f"private, max-age={YEAR}, immutable"
    return response


def _plane(first: StoredPhoto, second: StoredPhoto) -> list[float]:
    data = [_bytes(image) for image in (first, second)]
    try:
        return list(apart.run(lay, *data, seconds=settings.KNOB_CHECK_SECONDS))
    except (apart.TookTooLong, apart.Died, UnreadablePicture):
        return []


def _bytes(image: StoredPhoto) -> bytes:
    file, _ = open_file(image)
    with file:
        return bytes(file.read())
