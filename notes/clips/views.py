"""Clips: the list, one clip with its figures, changing what is said of it, retiring it.

Also the sound of a clip, whole or the range that a player asks for.
"""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.stored_files import was_removed
from core.views.pages import form_page, posted, retire_or_restore
from notes.clips import figures
from notes.clips.forms import ClipFilters, ClipForm
from notes.clips.ranges import copy_response
from notes.clips.storage import unreadable_words
from notes.clips.upkeep import update_figures
from notes.models import Clip
from notes.paging import page
from notes.queries import clips_of, rigs_of
from rigs.models import Revision


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    filters = ClipFilters(request.GET, production=request.production)
    clips = clips_of(request.production).live().filter(**filters.chosen())
    context = {
        "filters": filters,
        "page": page(clips, request.GET, by="brought_at", size=25),
        "rigs": rigs_of(request.production),
        "active_nav": "clips",
    }
    return render(request, "notes/clips/index.html", context)


@require_safe
@production_view(Action.READ)
def clip(request: ProductionRequest, clip_id: UUID) -> HttpResponse:
    clip = _clip(request, clip_id)
    # What an older method measured is measured again by the first who looks.
    measured = update_figures(clip)
    unreadable = unreadable_words(clip)
    context = {
        "clip": clip,
        "is_measured": measured,
        "unreadable": unreadable,
        "is_removed": bool(unreadable) and was_removed(clip.preview, clip.production_id),
        "stood_at": number_at(clip),
        "rows": figures.rows(clip),
        "signed_with_others": figures.signed_with_others(clip),
        "offset": figures.offset_of(clip.figures),
        "bands": figures.bands(clip),
        "spectrum": figures.spectrum_of(clip),
        "outline": figures.outline_of(clip),
        "remarks": figures.remarks(clip.sound),
        "active_nav": "clips",
    }
    return render(request, "notes/clips/clip.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def edit(request: ProductionRequest, clip_id: UUID) -> HttpResponse:
    clip = _clip(request, clip_id)
    form = ClipForm(posted(request), instance=clip)
    if form.try_save():
        messages.success(request, _("“{clip}” is saved.").format(clip=clip))
        return redirect(clip)
    retire_url = reverse("notes:clip_retire", args=[request.production.pk, clip.pk])
    return form_page(
        request,
        form,
        heading=_("About this clip"),
        cancel_url=clip.get_absolute_url(),
        active_nav="clips",
        retire_url=retire_url,
        item=clip,
    )


@require_POST
@production_view(Action.WRITE_NOTE)
def retire(request: ProductionRequest, clip_id: UUID) -> HttpResponse:
    clip = _clip(request, clip_id)
    return retire_or_restore(request, clip, clip.get_absolute_url())


def number_at(clip: Clip) -> int | None:
    """The change that the rig stood at when the clip was recorded; None where nobody knows."""
    if clip.recorded_at is None:
        return None
    before = Revision.objects.filter(rig=clip.rig_id, at__lte=clip.recorded_at)
    return before.order_by("-number").values_list("number", flat=True).first()


def _clip(request: ProductionRequest, clip_id: UUID) -> Clip:
    return get_object_or_404(clips_of(request.production), pk=clip_id)


@require_safe
@production_view(Action.READ)
def sound(request: ProductionRequest, clip_id: UUID, copy: str) -> HttpResponseBase:
    """`copy`: original, working or preview. Retired clips are heard, too: notes point at them."""
    clip = get_object_or_404(
        Clip.objects.select_related("sound"), pk=clip_id, production=request.production
    )
    return copy_response(request, clip, copy)
