"""The sections of a song."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.tour import SectionForm
from core.models import Section, Song
from core.services.ordering import move, next_position
from core.views.another import after_saving
from core.views.pages import (
    direction,
    form_page,
    posted,
    posted_id,
    retire_or_restore,
)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest, song_id: UUID) -> HttpResponse:
    song: Song = get_object_or_404(request.production.songs, pk=song_id)
    section = Section(song=song, position=next_position(song.sections.all()))
    return _edit(
        request, section, _("Add a section to “{song}”").format(song=song), offer_another=True
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, section_id: UUID) -> HttpResponse:
    section = _section(request, section_id)
    retire_url = within(request, "core:section_retire", section.pk)
    return _edit(request, section, _("About this section"), retire_url=retire_url, item=section)


def _edit(
    request: ProductionRequest, section: Section, heading: str, **more: object
) -> HttpResponse:
    form = SectionForm(posted(request), instance=section)
    back = section.song.get_absolute_url()
    if form.try_save():
        messages.success(request, _("“{section}” is saved.").format(section=section))
        return redirect(after_saving(request, form, back))
    return form_page(request, form, heading=heading, cancel_url=back, active_nav="songs", **more)


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, section_id: UUID) -> HttpResponse:
    section = _section(request, section_id)
    return retire_or_restore(request, section, section.song.get_absolute_url())


@require_POST
@production_view(Action.EDIT_TOUR)
def order(request: ProductionRequest, song_id: UUID) -> HttpResponse:
    song: Song = get_object_or_404(request.production.songs, pk=song_id)
    live = song.sections.filter(retired_at=None)
    section = get_object_or_404(live, pk=posted_id(request, "section"))
    move(among=live, item=section, direction=direction(request))
    return redirect(song)


def _section(request: ProductionRequest, section_id: UUID) -> Section:
    sections = Section.objects.select_related("song")
    return get_object_or_404(sections, pk=section_id, song__production=request.production)
