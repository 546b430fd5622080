"""Upload a clip: send a sound; choose the part of it that is wanted and say what it is."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import number, told
from core.offline.once import long_running
from core.views.pages import form_page, posted
from notes.clips import figures
from notes.clips.formats import SoundError
from notes.clips.times import format_time
from notes.clips.upload_forms import CutForm, UploadForm, address_of, start_of
from notes.clips.uploads import on_disk, receive
from notes.models import Clip, Note, StoredSound
from rigs.models import Rig


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = _rig(request, rig_id)
    start = start_of(request.GET, rig, _note(request, rig))
    form = UploadForm(posted(request), request.FILES or None, rig=rig, initial=start)
    if _too_much(request):
        form.add_error(
            "file",
            _("{most} MB is the most a sound may have.").format(most=number(_limit_mb(), 0)),
        )
    elif form.is_valid() and (next_url := _taken_in(request, rig, form)):
        return redirect(next_url)
    return form_page(
        request,
        form,
        heading=_("A clip of {rig}").format(rig=rig),
        cancel_url=_back(rig, start),
        template="notes/clips/new.html",
        active_nav="clips",
        most_bytes=settings.CLIP_MAX_BYTES,
        most_mb=round(_limit_mb()),
        rig=rig,
    )


def _taken_in(request: ProductionRequest, rig: Rig, form: UploadForm) -> str:
    """Where to go next; empty where the form has errors to show."""
    upload = form.cleaned_data["file"]
    try:
        with on_disk(file=upload) as path:
            sound = receive(path, name=upload.name, production=request.production, by=request.user)
    except SoundError as error:
        form.add_error("file", told(error.words))
        return ""
    if "choose" not in request.POST and (clip := form.whole(sound, request.user)):
        messages.success(request, _uploaded(clip))
        return clip.get_absolute_url()
    # Asked again: `whole` puts what was refused into the form.
    if not form.is_valid():
        return ""
    there = reverse("notes:clip_cut", args=[request.production.pk, rig.pk, sound.pk])
    return f"{there}?{urlencode(address_of(form.cleaned_data))}"


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def cut(request: ProductionRequest, rig_id: UUID, sound: int) -> HttpResponse:
    rig = _rig(request, rig_id)
    source = get_object_or_404(StoredSound, pk=sound, production=request.production)
    start = start_of(request.GET, rig, _note(request, rig))
    form = CutForm(posted(request), rig=rig, sound=source, initial=start)
    if form.is_valid() and (clip := form.cut(request.user)):
        messages.success(request, _uploaded(clip))
        return redirect(clip)
    channels = figures.channels(source)
    more: dict[str, Any] = {
        "template": "notes/clips/cut.html",
        "submit": _("Save this part"),
        "sound": source,
        "channels": channels,
        "remarks": figures.remarks(source),
        "rig": rig,
        "lasts": format_time(source.seconds),
        "times": figures.times(source),
        "why": figures.why_choose(source),
        "silent": all(each.silent for each in channels),
    }
    return form_page(
        request,
        form,
        heading=_("Which part of it?"),
        active_nav="clips",
        cancel_url=_back(rig, start),
        **more,
    )


def _uploaded(clip: Clip) -> str:
    if clip.was_there:
        return _(
            "“{clip}” was here already: the same part of the same sound, for the same input."
        ).format(clip=clip)
    return _("“{clip}” is saved.").format(clip=clip)


def _rig(request: ProductionRequest, rig_id: UUID) -> Rig:
    rig: Rig = get_object_or_404(
        Rig.objects.select_related("production", "player"), pk=rig_id, production=request.production
    )
    return rig


def _note(request: ProductionRequest, rig: Rig) -> Note | None:
    try:
        asked = UUID(request.GET.get("note", ""))
    except ValueError:
        return None
    return Note.objects.filter(pk=asked, rig=rig).first()


def _back(rig: Rig, start: dict[str, Any]) -> str:
    """The address of the note, the input or the rig that one came from."""
    try:
        if "note" in start:
            return reverse("notes:note", args=[rig.production_id, UUID(str(start["note"]))])
        if "input" in start:
            return reverse(
                "rigs:input", args=[rig.production_id, rig.pk, UUID(str(start["input"]))]
            )
    except ValueError:  # the address holds what is no id
        pass
    return rig.get_absolute_url()


def _limit_mb() -> float:
    return settings.CLIP_MAX_BYTES / 1024 / 1024


def _too_much(request: ProductionRequest) -> bool:
    """Whether the upload was stopped on its way (core.uploads.limited): then no file arrived."""
    return request.method == "POST" and getattr(request, "upload_stopped", False)
