"""Check panels against photos, read what came of it, and say or do something about it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.dates import moment
from core.offline.once import long_running
from core.views.pages import asked_id, carried_out, posted, posted_id
from rigs.changes.reasons import ReasonKind
from rigs.editing.pages import address, change_page, find_part, find_rig, retired_page
from rigs.knob_check.checking import keep
from rigs.knob_check.confirming import (
    ask_to_turn_back,
    confirm,
    marks_at,
    marks_of,
    open_tasks,
    seen_by_eye,
    stands_in_the_way,
    throw_away,
    turned_back,
)
from rigs.knob_check.forms import CheckForm, TakeOverForm
from rigs.knob_check.references import Reference, circled, references_of
from rigs.knob_check.states import plane_words, states, summary
from rigs.models import Control, PanelCheck, Photo, Rig, TurnBack
from rigs.photos.serve import picture_response
from rigs.shows.rigs import played_at
from rigs.shows.views import find_show

NEWEST = 20  # checks listed on a page


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.LINE_CHECK)
def against(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """Photos of now against this one."""
    photo = find_part(request, Photo, rig_id, photo_id, "image")
    own = address(photo.rig, "photo", photo.pk)
    if photo.retired:
        return retired_page(request, photo, own)
    marks = circled(photo)
    references = [Reference(photo, marks)] if marks else []
    return _check_page(request, photo.rig, references, back_url=own, photo=photo)


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.LINE_CHECK)
def of_rig(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """Photos of now against each photo with circles of the rig; `?unit=` of one unit."""
    rig = find_rig(request, rig_id)
    unit = asked_id(request, "unit")
    back = address(rig, "unit", unit) if unit else rig.get_absolute_url()
    return _check_page(request, rig, references_of([rig.pk], unit=unit), back_url=back)


def _check_page(
    request: ProductionRequest, rig: Rig, references: Sequence[Reference], **more: Any
) -> HttpResponse:
    form = CheckForm(posted(request), request.FILES or None, references=references)
    show_id = asked_id(request, "show")
    show = find_show(request, show_id) if show_id else None
    if form.is_bound and references and form.is_valid():
        made = [
            keep(each.photo, picture, found, by=request.user, show=show)
            for each, picture, found in form.compared
        ]
        if len(made) == 1:
            return redirect(address(rig, "knob_checked", made[0].pk))
        messages.success(
            request,
            ngettext("{n} photo is compared.", "{n} photos are compared.", len(made)).format(
                n=len(made)
            ),
        )
        return redirect(address(rig, "knob_checks"))
    checks = PanelCheck.objects.filter(reference__rig=rig).select_related("reference", "show")
    if "photo" in more:
        checks = checks.filter(reference=more["photo"])
    context = {
        "rig": rig,
        "form": form,
        "references": references,
        "show": show,
        "checks": list(checks[:NEWEST]),
        "tasks": open_tasks([rig.pk]),
        "active_nav": "rigs",
        **more,
    }
    return render(request, "rigs/knob_check/check.html", context)


@require_safe
@production_view(Action.READ)
def at_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """The panels of the rigs that play at a show: check them, and what was said of them there."""
    show = find_show(request, show_id)
    rigs = played_at([show])[show.pk]
    here = {mark.check.reference_id: mark for mark in marks_at(show)}
    newest = {mark.check.reference_id: mark for mark in marks_of(rigs)}
    context = {
        "show": show,
        "panels": [
            {
                "reference": each,
                "here": here.get(each.photo.pk),
                "newest": newest.get(each.photo.pk),
            }
            for each in references_of(rigs)
        ],
        "tasks": open_tasks(rigs),
        "active_nav": "tour",
    }
    return render(request, "rigs/knob_check/at_show.html", context)


def _find(request: ProductionRequest, rig_id: UUID, check_id: UUID) -> PanelCheck:
    checks = PanelCheck.objects.select_related(
        "reference__rig__player", "reference__rig__production", "before", "image", "show"
    )
    check: PanelCheck = get_object_or_404(
        checks, pk=check_id, reference__rig=rig_id, reference__rig__production=request.production
    )
    return check


@require_safe
@production_view(Action.READ)
def one(request: ProductionRequest, rig_id: UUID, check_id: UUID) -> HttpResponse:
    """What one photo showed of each control, against what is documented now."""
    check = _find(request, rig_id, check_id)
    found = states(check)
    context = {
        "rig": check.reference.rig,
        "check": check,
        "states": found,
        "summary": summary(found),
        "in_the_way": stands_in_the_way(found),
        "by_eye": [each.name for each in seen_by_eye(found)],
        "plane": plane_words(check.plane),
        "active_nav": "rigs",
    }
    return render(request, "rigs/knob_check/checked.html", context)


@require_safe
@production_view(Action.READ)
def picture(request: ProductionRequest, rig_id: UUID, check_id: UUID) -> HttpResponseBase:
    """The photo of now; with `?of=before` the one it was compared with, as that was then."""
    check = _find(request, rig_id, check_id)
    image = check.before if request.GET.get("of") == "before" else check.image
    return picture_response(request, image, str(check.reference))


@require_POST
@production_view(Action.LINE_CHECK)
def say_as_documented(request: ProductionRequest, rig_id: UUID, check_id: UUID) -> HttpResponse:
    check = _find(request, rig_id, check_id)
    looked = "looked" in request.POST
    carried_out(
        request,
        lambda: confirm(check, by=request.user, looked=looked),
        _("“{photo}” is marked as documented.").format(photo=check.reference),
    )
    return redirect(address(check.reference.rig, "knob_checked", check.pk))


@require_POST
@production_view(Action.LINE_CHECK)
def discard(request: ProductionRequest, rig_id: UUID, check_id: UUID) -> HttpResponse:
    """Throw a check away to which nobody has said anything."""
    check = _find(request, rig_id, check_id)
    rig, own = check.reference.rig, check.pk
    done = carried_out(request, lambda: throw_away(check), _("The check is thrown away."))
    return redirect(address(rig, "knob_checks") if done else address(rig, "knob_checked", own))


@require_POST
@production_view(Action.LINE_CHECK)
def turn_back(request: ProductionRequest, rig_id: UUID, check_id: UUID) -> HttpResponse:
    """Ask for a control to be turned back, or say (`done`) that it is."""
    check = _find(request, rig_id, check_id)
    rig = check.reference.rig
    control = find_part(request, Control, rig_id, posted_id(request, "control"), "unit")
    if "done" in request.POST:
        task = get_object_or_404(TurnBack, panel_check=check, control=control)
        turned_back(task, by=request.user)
        messages.success(request, _("“{control}” is turned back.").format(control=control))
    else:
        carried_out(
            request,
            lambda: ask_to_turn_back(check, control, by=request.user),
            _("“{control}” is to be turned back. It stands among the things to do.").format(
                control=control
            ),
        )
    return redirect(address(rig, "knob_checked", check.pk))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def take_over(request: ProductionRequest, rig_id: UUID, control_id: UUID) -> HttpResponse:
    """The setting that a photo showed, to be confirmed with its reason."""
    control = find_part(request, Control, rig_id, control_id, "unit")
    unit = address(control.rig, "unit", control.unit_id)
    if control.retired:
        return retired_page(request, control, unit)
    check_id = asked_id(request, "check")
    check = _find(request, rig_id, check_id) if check_id else None
    form = TakeOverForm(control.rig, control, posted(request), ask_reason=True)
    if request.method == "GET" and (setting := request.GET.get("setting", "")):
        form.initial["setting"] = setting
        if check is not None:
            form.initial.update(_because(check))
    return change_page(
        request,
        form,
        heading=_("Take over how “{control}” stands").format(control=control),
        success=_("“{control}” is saved.").format(control=control),
        done_url=address(control.rig, "knob_checked", check.pk) if check else unit,
    )


def _because(check: PanelCheck) -> dict[str, str]:
    """The reason that the form proposes."""
    # In English, whoever takes it over: the words go into the history, which all read.
    with translation.override(settings.LANGUAGE_CODE):
        at = moment(check.at)
    where = f" at {check.show}" if check.show else ""
    return {
        "reason_kind": str(ReasonKind.CORRECTION),
        "reason_words": f"Found so on a photo of {at}{where}, by {check.by_name}.",
    }
