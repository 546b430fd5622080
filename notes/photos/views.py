"""Photos of a note: add some later, remove one, and the pictures themselves."""

from __future__ import annotations

from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.offline.once import before_transaction
from core.views.pages import form_page, posted
from notes.models import NotePhoto
from notes.photos.forms import NotePhotosForm
from notes.photos.services import PhotosOfNote, may_remove, remove_photo
from notes.queries import notes_of
from rigs.photos.forms import prepare_ahead
from rigs.photos.serve import picture_response

NOT_YOURS = gettext_lazy("Only who added a photo, who wrote its note, and a manager can remove it.")


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
@before_transaction(prepare_ahead)
def add(request: ProductionRequest, note_id: UUID) -> HttpResponse:
    found = get_object_or_404(notes_of(request.production), pk=note_id)
    form = NotePhotosForm(posted(request), request.FILES or None)
    if form.is_bound and (added := form.try_add(found, request.user)):
        messages.success(request, summary(added))
        return redirect(f"{found.get_absolute_url()}#photos")
    return form_page(
        request,
        form,
        heading=_("Add photos to this note"),
        cancel_url=found.get_absolute_url(),
        active_nav="notes",
        note=found,
        template="notes/photos/add.html",
        submit=_("Add"),
        later=_("Photos with a note about {rig}").format(rig=found.rig),
    )


def summary(added: PhotosOfNote) -> str:
    """What became of the photos, in a sentence or two."""
    sentences = []
    if added.new:
        sentences.append(
            _("The photo is added.")
            if added.new == 1
            else _("{new} photos are added.").format(new=added.new)
        )
    if added.known == 1:
        sentences.append(_("The note had one of them already."))
    elif added.known:
        sentences.append(_("The note had {known} of them already.").format(known=added.known))
    return " ".join(sentences)


@require_http_methods(["GET", "POST"])
@production_view(Action.REMOVE_PHOTO)
def remove(request: ProductionRequest, note_photo_id: UUID) -> HttpResponse:
    photo = _photo(request, note_photo_id)
    back = f"{photo.note.get_absolute_url()}#photos"
    if not may_remove(photo, request.user, request.member.roles):
        messages.error(request, NOT_YOURS)
        return redirect(back)
    if request.method == "POST":
        remove_photo(photo, by=request.user)
        messages.success(request, _("The photo is removed. The note says so."))
        return redirect(back)
    if photo.removed_at is not None:
        messages.info(request, _("The photo is removed already."))
        return redirect(back)
    return form_page(
        request,
        forms.Form(),
        heading=_("Remove this photo"),
        cancel_url=back,
        active_nav="notes",
        photo=photo,
        template="notes/photos/remove.html",
        submit=_("Remove it"),
        danger=True,
        later=_("Removing a photo from a note about {rig}").format(rig=photo.note.rig),
    )


@require_safe
@production_view(Action.READ)
def file(request: ProductionRequest, note_photo_id: UUID) -> HttpResponseBase:
    """The picture itself, `?size=thumb` for the small one. Handovers show removed ones, too."""
    photo = _photo(request, note_photo_id)
    return picture_response(request, photo.image, photo.caption)


def _photo(request: ProductionRequest, pk: UUID) -> NotePhoto:
    photos = NotePhoto.objects.select_related("image", "note__rig")
    return get_object_or_404(photos, pk=pk, note__production=request.production)
