"""Long recordings: the list, one with its takes and pauses, bring a file; take by take."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.numbers import whole_number
from core.offline.once import long_running
from core.views.pages import carried_out, form_page, posted
from notes.clips.times import format_time, parse_time
from notes.models import Recording, Take
from notes.paging import page
from notes.takes import services
from notes.takes.forms import BringForm, RecordingForm, SplitForm, TakeClipForm, TakeForm
from notes.takes.index import levels_of, parts_of, takes_of
from notes.takes.picture import drawn
from notes.takes.queries import recordings_of, take_of

NAV = "clips"


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    rows = page(recordings_of(request.production), request.GET, by="brought_at", size=25)
    return render(request, "notes/takes/index.html", {"page": rows, "active_nav": NAV})


@require_safe
@production_view(Action.READ)
def recording(request: ProductionRequest, recording_id: UUID) -> HttpResponse:
    found = _recording(request, recording_id)
    takes = takes_of(found)
    parts = parts_of(found, takes)
    context = {
        "recording": found,
        "parts": parts,
        "files": list(found.files.select_related("sound").defer("levels")),
        "picture": mark_safe(drawn(found, takes, levels_of(found))),  # noqa: S308 - our own SVG
        "count": len(takes),
        "corrected": sum(take.by_id is not None for take in takes),
        "played": sum((take.seconds for take in takes), Decimal(0)),
        "active_nav": NAV,
    }
    return render(request, "notes/takes/recording.html", context)


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def new(request: ProductionRequest) -> HttpResponse:
    names = ("session", "together")
    start = {name: request.GET[name] for name in names if request.GET.get(name)}
    form = BringForm(
        posted(request), request.FILES or None, production=request.production, initial=start
    )
    most_mb = round(settings.CLIP_MAX_BYTES / 1024 / 1024)
    if request.method == "POST" and getattr(request, "upload_stopped", False):
        form.add_error(
            "file", _("{most_mb} MB is the most a sound may have.").format(most_mb=most_mb)
        )
    elif form.is_valid() and (made := form.try_bring(request.user)):
        messages.success(
            request, _("“{recording}” is saved, and its takes are listed.").format(recording=made)
        )
        return redirect(made)
    return form_page(
        request,
        form,
        heading=_("A recording of a whole session"),
        cancel_url=reverse("notes:recordings", args=[request.production.pk]),
        template="notes/takes/new.html",
        active_nav=NAV,
        most_bytes=settings.CLIP_MAX_BYTES,
        most_mb=most_mb,
        longest=format_time(settings.RECORDING_MAX_SECONDS),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def edit(request: ProductionRequest, recording_id: UUID) -> HttpResponse:
    found = _recording(request, recording_id)
    form = RecordingForm(posted(request), instance=found)
    if form.try_save():
        messages.success(request, _("“{recording}” is saved.").format(recording=found))
        return redirect(found)
    return form_page(
        request,
        form,
        heading=_("About this recording"),
        cancel_url=found.get_absolute_url(),
        active_nav=NAV,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def take_new(request: ProductionRequest, recording_id: UUID) -> HttpResponse:
    """A take where none was found; `?from=` and `?to=` fill in a pause."""
    found = _recording(request, recording_id)
    start = {
        name: _time(request.GET.get(asked, ""))
        for name, asked in (("starts_s", "from"), ("ends_s", "to"))
    }
    blank = Take(recording=found)
    form = TakeForm(posted(request), instance=blank, by=request.user, initial=start)
    if form.try_save():
        messages.success(request, _("The take is in the list."))
        return redirect(found)
    return form_page(
        request,
        form,
        heading=_("A take that was not found"),
        cancel_url=found.get_absolute_url(),
        active_nav=NAV,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def take(request: ProductionRequest, take_id: UUID) -> HttpResponse:
    """Correct one; below the form it can be split, joined with the next, or taken out."""
    found = take_of(request.production, take_id)
    heading = str(found)  # as it is saved: the form changes it
    form = TakeForm(posted(request), instance=found, by=request.user)
    if form.try_save():
        messages.success(
            request,
            _("“{take}” is saved.").format(take=take_of(request.production, take_id)),
        )
        return redirect(found.recording)
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=found.recording.get_absolute_url(),
        active_nav=NAV,
        template="notes/takes/take.html",
        take=found,
        split_form=SplitForm(),
    )


@require_POST
@production_view(Action.WRITE_NOTE)
def take_split(request: ProductionRequest, take_id: UUID) -> HttpResponse:
    found = take_of(request.production, take_id)
    form = SplitForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(map(str, form.errors["at_s"])))
        return redirect(found)
    at = form.cleaned_data["at_s"]
    done = carried_out(
        request,
        lambda: services.split(found, at, by=request.user),
        _("There are two takes now: the second begins at {at}.").format(at=format_time(at)),
    )
    return redirect(found.recording if done else found)


@require_POST
@production_view(Action.WRITE_NOTE)
def take_join(request: ProductionRequest, take_id: UUID) -> HttpResponse:
    found = take_of(request.production, take_id)
    done = carried_out(
        request,
        lambda: services.join(found, by=request.user),
        _("They are one take now, with the pause between them."),
    )
    return redirect(found.recording if done else found)


@require_POST
@production_view(Action.WRITE_NOTE)
def take_out(request: ProductionRequest, take_id: UUID) -> HttpResponse:
    found = take_of(request.production, take_id)
    seen = whole_number(request.POST.get("version")) or 0
    done = carried_out(
        request, lambda: services.take_out(found, version=seen), _("It is a pause now.")
    )
    return redirect(found.recording if done else found)


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def take_clip(request: ProductionRequest, take_id: UUID) -> HttpResponse:
    found = take_of(request.production, take_id)
    form = TakeClipForm(posted(request), take=found)
    if form.is_bound and (clip := form.try_cut(request.user)):
        here = (
            _("“{clip}” was here already.").format(clip=clip)
            if clip.was_there
            else _("“{clip}” is saved.").format(clip=clip)
        )
        messages.success(request, here)
        return redirect(clip)
    return form_page(
        request,
        form,
        heading=_("A clip of {take}").format(take=found),
        cancel_url=found.recording.get_absolute_url(),
        active_nav=NAV,
        template="notes/takes/clip.html",
        take=found,
        submit=_("Cut it"),
        most=format_time(settings.CLIP_MAX_SECONDS),
        too_long=found.seconds > settings.CLIP_MAX_SECONDS,
    )


def _recording(request: ProductionRequest, recording_id: UUID) -> Recording:
    return get_object_or_404(recordings_of(request.production), pk=recording_id)


def _time(text: str) -> str:
    """A time in an address as it is typed; empty for what is none."""
    try:
        return format_time(parse_time(text))
    except ValueError:
        return ""
