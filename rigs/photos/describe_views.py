"""One page on which several photos of a rig are described."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.numbers import whole_number
from core.views.pages import posted
from rigs.changes.edits import WHOLE
from rigs.editing.ordering import in_order
from rigs.editing.pages import address, find_rig
from rigs.editing.submit import attempt
from rigs.models import ChangeRow, Photo, Revision, Rig
from rigs.photos.describe_form import DescribeForm, guesses_for

SHOWN = 36  # photos on one page; what comes after them, once these are described


def describe_url(rig: Rig, revision: Revision) -> str:
    """The page on which to say what the photos show that came with `revision`."""
    return f"{address(rig, 'photos_describe')}?added={revision.number}"


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def describe(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """Those that came with a change, by ?added=12, or else all that nobody has described."""
    rig = find_rig(request, rig_id)
    data = posted(request)
    photos = _in_form(rig, data) if data is not None else _asked_for(rig, request)
    guesses = guesses_for(rig, photos) if data is None else {}
    outcome = attempt(DescribeForm(rig, photos, data, guesses=guesses), author=request.user)
    done_url = f"{rig.get_absolute_url()}#photos"
    if outcome.done and data is not None:
        _say_what_was_done(request, photos, data, saved=outcome.revision is not None)
        known = {str(photo.pk) for photo in photos}
        pin = data.get("pin", "")
        return redirect(address(rig, "pin_new", pin) if pin in known else done_url)
    context = {
        "form": outcome.form,
        "rig": rig,
        "heading": _("What the photos show"),
        "cancel_url": done_url,
        "active_nav": "rigs",
    }
    return render(request, "rigs/photos/describe.html", context, status=outcome.status)


def _asked_for(rig: Rig, request: ProductionRequest) -> list[Photo]:
    photos = Photo.objects.live().filter(rig=rig).select_related("image")
    number = whole_number(request.GET.get("added"))
    if number is None:
        photos = photos.filter(about=None, view="", caption="")
    else:
        came = ChangeRow.objects.filter(revision__rig=rig, revision__number=number)
        photos = photos.filter(pk__in=came.filter(kind="photo", field=WHOLE).values("part"))
    return in_order(photos)[:SHOWN]


def _in_form(rig: Rig, data: QueryDict) -> list[Photo]:
    """Those that the form was opened on, whoever described them meanwhile, but for retired ones."""
    photos = Photo.objects.live().filter(rig=rig).select_related("image")
    return [photo for photo in in_order(photos) if f"about-{photo.pk}" in data]


def _say_what_was_done(
    request: ProductionRequest, photos: list[Photo], data: QueryDict, *, saved: bool
) -> None:
    if saved:
        messages.success(request, _("What the photos show is saved."))
    else:
        messages.info(request, _("Nothing was different, so nothing was written."))
    # The form sent one subject for each photo; those without a photo left were retired meanwhile.
    gone = sum(name.startswith("about-") for name in data) - len(photos)
    if gone > 0:
        said = ngettext(
            "{n} photo was retired meanwhile; nothing was saved about it.",
            "{n} photos were retired meanwhile; nothing was saved about them.",
            gone,
        )
        messages.warning(request, said.format(n=gone))
