"""A photo's own page, and the pins on it: place, move, renumber, put away."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.numbers import whole_number
from core.views.pages import direction, posted, posted_id
from rigs.drawing.pins import layer
from rigs.editing.ordering import move, next_position
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.models import Photo, Pin, Rig
from rigs.photos.pin_forms import PinForm
from rigs.retire.views import retire_or_restore_part
from rigs.revisions import read
from rigs.revisions.many import newest
from rigs.wording import PhotoView, snapshot_view


@require_safe
@production_view(Action.READ)
def photo(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """The photo with its pins as they are, or as of a change by ?at=12."""
    photo = find_part(request, Photo, rig_id, photo_id, "image__taken_by")
    at = _past(request)
    shown = as_shown(photo, at)
    if shown is None:
        raise Http404(_("The photo was not in the rig then."))
    context = {
        "rig": photo.rig,
        "photo": photo,
        "shown": shown,
        "at": at,
        "layer": layer(shown, shown.pins),
        "about_url": _about_url(photo.rig, shown),
        "active_nav": "rigs",
    }
    return render(request, "rigs/photos/photo.html", context)


def _past(request: ProductionRequest) -> int | None:
    return whole_number(request.GET.get("at"))


def as_shown(photo: Photo, at: int | None = None) -> PhotoView | None:
    """The photo in the rig as it is, or as of change `at`; one that is put away has no pins."""
    if at is None and photo.retired:
        image = photo.image
        return PhotoView(
            str(photo.pk),
            photo.caption,
            width=image.width,
            height=image.height,
            image=str(image.pk),
        )
    try:
        state = newest(photo.rig) if at is None else read.as_of(photo.rig, at)
    except read.NoSuchRevision as error:
        raise Http404(str(error)) from None
    return snapshot_view(photo.rig, state).photo(photo.pk)


def _about_url(rig: Rig, shown: PhotoView) -> str:
    """The page of what the photo shows; empty for the rig as a whole."""
    if not shown.about:
        return ""
    name = "unit" if rig.units.filter(pk=shown.about).exists() else "input"
    return address(rig, name, shown.about)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    photo = find_part(request, Photo, rig_id, photo_id)
    own = address(photo.rig, "photo", photo.pk)
    if photo.retired:
        return retired_page(request, photo, own)
    pin = Pin(rig=photo.rig, photo=photo)
    fixed = {"photo": photo.pk, "position": next_position(pin)}
    form = PinForm(photo.rig, pin, posted(request), fixed=fixed)
    return _pin_page(
        request,
        form,
        photo,
        heading=_("Place a pin"),
        success=_("The pin is on the photo."),
        offer_another=True,
        next_url=f"{own}#pins",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, pin_id: UUID) -> HttpResponse:
    pin = find_part(request, Pin, rig_id, pin_id)
    own = address(pin.rig, "photo", pin.photo_id)
    if pin.retired and request.method == "GET":
        return retired_page(request, pin, own)
    form = PinForm(pin.rig, pin, posted(request))
    return _pin_page(
        request,
        form,
        pin.photo,
        heading=_("Move or reword a pin"),
        success=_("The pin is saved."),
        retire_url=address(pin.rig, "pin_retire", pin.pk),
        next_url=f"{own}#pins",
    )


def _pin_page(request: ProductionRequest, form: PinForm, photo: Photo, **more: Any) -> HttpResponse:
    """The form beside the picture, with the other pins and the one that is being placed."""
    return change_page(
        request,
        form,
        template="rigs/photos/pin.html",
        shown=as_shown(photo),
        photo=photo,
        done_url=address(photo.rig, "photo", photo.pk),
        **more,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, rig_id: UUID, pin_id: UUID) -> HttpResponse:
    pin = find_part(request, Pin, rig_id, pin_id)
    own = address(pin.rig, "photo", pin.photo_id)
    return retire_or_restore_part(
        request,
        pin.rig,
        pin,
        done_url=own,
        back_url=own,
        edit_url=address(pin.rig, "pin_edit", pin.pk),
    )


@require_POST
@production_view(Action.EDIT_RIG)
def order(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    photo = find_part(request, Photo, rig_id, photo_id)
    pin = find_part(request, Pin, rig_id, posted_id(request, "pin"))
    if pin.photo_id != photo.pk:
        raise Http404(_("That pin is on another photo."))
    own = address(photo.rig, "photo", photo.pk)
    if pin.retired:
        return retired_page(request, pin, own)
    move(rig=photo.rig, part=pin, direction=direction(request), author=request.user)
    return redirect(f"{own}#pins")
