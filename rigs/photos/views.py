"""Photos of a rig, a unit or an input: bring them, caption them, put them away, see them.

Two photos of the same thing, the earlier beside the later.
"""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.offline.once import long_running
from core.views.pages import form_page, posted
from rigs.editing.pages import address, change_page, find_part, find_rig, retired_page
from rigs.models import Input, Photo, Rig, StoredPhoto, Unit
from rigs.photos.describe_views import describe_url
from rigs.photos.forms import EACH, PhotoForm, PhotosForm
from rigs.photos.pairs import others_of, pair, taken
from rigs.photos.serve import picture_response
from rigs.photos.services import Added, add_photos
from rigs.retire.views import retire_or_restore_part
from rigs.wording import PhotoView


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    about = request.GET.get("about", EACH)
    form = PhotosForm(posted(request), request.FILES or None, rig=rig, initial={"about": about})
    if form.is_valid():
        chosen = form.cleaned_data
        try:
            added = add_photos(
                rig,
                form.pictures(),
                about=chosen["about"],
                caption=chosen["caption"],
                view=chosen["view"],
                author=request.user,
            )
        except ValidationError as error:
            form.add_error("about", error.messages)
        else:
            if outcome := _outcome(added):
                messages.success(request, outcome)
            for problem in form.problems:
                messages.warning(request, _("Left out: {problem}").format(problem=problem))
            if form.for_each and added.revision:
                return redirect(describe_url(rig, added.revision))
            return redirect(_page_of(rig, chosen["about"]))
    return form_page(
        request,
        form,
        heading=_("Add photos to {rig}").format(rig=rig),
        template="rigs/photos/new.html",
        later=_("Photos of {rig}").format(rig=rig),
        submit=_("Add"),
        active_nav="rigs",
        cancel_url=_page_of(rig, about),
        lede=_("Pick the photos of the whole rig in one go, then say in one page what each shows."),
    )


def _outcome(added: Added) -> str:
    """What became of the photos, in a sentence or two."""
    sentences = []
    if added.new:
        sentences.append(
            ngettext("The photo is in.", "{n} photos are in.", added.new).format(n=added.new)
        )
    if added.known:
        sentences.append(
            ngettext(
                "One photo was here already and is not shown twice.",
                "{n} photos were here already and are not shown twice.",
                added.known,
            ).format(n=added.known)
        )
    return " ".join(sentences)


def _page_of(rig: Rig, about: UUID | str | None) -> str:
    """The page a photo is seen on; of what is not in the rig, the rig's."""
    places = ((Unit, "unit"), (Input, "input")) if about else ()
    for model, name in places:
        try:
            if model.objects.filter(pk=about, rig=rig).exists():
                return address(rig, name, about)
        except ValidationError:  # ?about= is no id
            break
    return rig.get_absolute_url()


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    photo = find_part(request, Photo, rig_id, photo_id)
    back = _page_of(photo.rig, photo.about)
    if photo.retired:
        return retired_page(request, photo, back)
    return change_page(
        request,
        PhotoForm(photo.rig, photo, posted(request)),
        heading=_("About this photo"),
        template="rigs/photos/edit.html",
        done_url=back,
        success=_("The photo is saved."),
        shown=PhotoView(str(photo.pk), photo.caption, image=str(photo.image_id)),
        retire_url=address(photo.rig, "photo_retire", photo.pk),
        next_url=_page_of(photo.rig, request.POST.get("about", "")),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    photo = find_part(request, Photo, rig_id, photo_id)
    back = _page_of(photo.rig, photo.about)
    edit_url = address(photo.rig, "photo_edit", photo.pk)
    return retire_or_restore_part(
        request, photo.rig, photo, edit_url=edit_url, back_url=back, done_url=back
    )


@require_safe
@production_view(Action.READ)
def photo_file(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponseBase:
    """The picture itself, `?size=thumb` for the small one. Put-away ones are seen, too: the
    history shows them. `?v=` names the picture that the photo had where it is shown."""
    photos = Photo.objects.select_related("image")
    photo = get_object_or_404(photos, pk=photo_id, rig=rig_id, rig__production=request.production)
    image = _image(photo, request.GET.get("v", ""))
    return picture_response(request, image, photo.caption)


def _image(photo: Photo, named: str) -> StoredPhoto:
    """The photo's picture now, or an earlier one that the address names."""
    if named in ("", str(photo.image_id)):
        return photo.image
    images = StoredPhoto.objects.filter(production=photo.image.production_id)
    try:
        return get_object_or_404(images, pk=UUID(named))
    except ValueError:
        raise Http404(_("There is no such picture.")) from None


def _laid_url(first: Photo, second: Photo) -> str:
    """Where it is told how the second lies on the first (rigs.knob_check). It names the pictures,
    too, so that the answer may be kept for good."""
    url = address(first.rig, "photos_laid", first.pk, second.pk)
    return f"{url}?v={first.image_id}-{second.image_id}"


@require_safe
@production_view(Action.READ)
def beside(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """The photo and another of the same subject, ?with= one of them or else the nearest in time."""
    photo = find_part(request, Photo, rig_id, photo_id)
    others = others_of(photo)
    other_id = request.GET.get("with", "")
    other = next((each for each in others if str(each.pk) == other_id), None)
    other = other or (others[0] if others else None)
    shown = pair(photo, other) if other else ()
    context = {
        "rig": photo.rig,
        "photo": photo,
        "others": taken(others),
        "other": other,
        "pair": taken(shown) if shown else [],
        "laid_url": _laid_url(*shown) if shown else "",
        "active_nav": "rigs",
    }
    return render(request, "rigs/photos/pair.html", context)
