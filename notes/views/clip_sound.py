"""The sound of a clip: what a player reads, in parts if it likes."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from notes.clips.serving import file_response
from notes.clips.sniffing import KINDS, WAV
from notes.clips.storing import COPIES, named, open_copy
from notes.models import Clip


@require_safe
@production_view(Action.READ)
def sound(request: ProductionRequest, clip: UUID, copy: str) -> HttpResponseBase:
    """`copy`: original, working or preview. Retired clips are heard, too: notes point at them."""
    found = get_object_or_404(
        Clip.objects.select_related("sound"), pk=clip, production=request.production
    )
    if copy not in COPIES:
        raise Http404("A clip has no such copy.")
    try:
        file, content_type, size = open_copy(found, copy)
    except FileNotFoundError:
        raise Http404("The file of this clip is missing.") from None
    return file_response(
        request, file, size, content_type=content_type, name=_file_name(found, copy),
        etag=f'"{named(found, copy)[0]}"',
    )  # fmt: skip


def _file_name(clip: Clip, copy: str) -> str:
    endings = {"working": "flac", "preview": "m4a"}
    ending = endings.get(copy) or KINDS.get(clip.sound.kind, WAV).suffix
    return f"{slugify(clip.name) or 'clip'}.{ending}"
