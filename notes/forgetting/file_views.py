"""The pages by which a manager removes a picture or a recording that somebody is in."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.stored_files import removed_from
from core.views.pages import posted
from notes.forgetting.files import Named, of_picture, of_recording, remove_files
from notes.forgetting.forms import RemovalForm
from notes.models import Clip, Note
from rigs.models import Photo, StoredPhoto


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def picture(request: ProductionRequest, image_id: UUID) -> HttpResponse:
    """A picture, wherever it is shown."""
    image = get_object_or_404(StoredPhoto, pk=image_id, production=request.production)
    photo = Photo.objects.filter(image=image).select_related("rig").order_by("retired").first()
    note = Note.objects.filter(photos__image=image).order_by("written_at").first()
    back = reverse("core:production", args=[request.production.pk])
    if photo:
        back = reverse("rigs:photo", args=[request.production.pk, photo.rig_id, photo.pk])
    elif note:
        back = note.get_absolute_url()
    context = {"image": image, "photo": photo, "note": note, "active_nav": "rigs"}
    return _page(request, "notes/forgetting/picture.html", of_picture(image), back, context)


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def recording(request: ProductionRequest, clip_id: UUID) -> HttpResponse:
    """The recording that a clip was cut from, with all that was cut from it."""
    clips = Clip.objects.select_related("sound")
    clip = get_object_or_404(clips, pk=clip_id, production=request.production)
    context = {
        "clip": clip,
        "clips": Clip.objects.filter(sound=clip.sound).order_by("name", "pk"),
        "active_nav": "clips",
    }
    files, back = of_recording(clip.sound), clip.get_absolute_url()
    return _page(request, "notes/forgetting/recording.html", files, back, context)


def _page(
    request: ProductionRequest, template: str, files: list[Named], back: str, more: dict[str, Any]
) -> HttpResponse:
    form = RemovalForm(posted(request))
    gone = set(removed_from(request.production.pk))
    there = [each for each in files if each[1] not in gone]
    if there and form.is_valid():
        values = {name: form.cleaned_data[name] for name in ("asked_by", "reason")}
        remove_files(request.production, there, by=request.user, **values)
        messages.success(request, _("Removed for good. What was written about it stays."))
        return redirect(back)
    return render(request, template, {"form": form, "is_there": there, "back": back} | more)
