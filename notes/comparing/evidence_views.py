"""Tie clips to a change and to an alternative of a trial, and untie them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted, posted_id
from notes.comparing.evidence import heard_for_changes, heard_of
from notes.comparing.forms import AlternativeClipForm, ChangeClipForm
from notes.models import AlternativeClip, ChangeClip
from notes.queries import alternatives_of
from rigs.models import Revision


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def of_change(request: ProductionRequest, rig_id: UUID, number: int) -> HttpResponse:
    rows = Revision.objects.select_related("rig__player", "rig__production")
    rig = get_object_or_404(
        rows.prefetch_related(heard_for_changes()),
        rig=rig_id,
        number=number,
        rig__production=request.production,
    )
    here = request.get_full_path()
    if "untie" in request.POST:
        tied = get_object_or_404(ChangeClip, revision=rig, clip=posted_id(request, "untie"))
        return _untied(request, tied, here)
    form = ChangeClipForm(posted(request), revision=rig, initial=request.GET.dict())
    if _tied(request, form):
        return redirect(here)
    return form_page(
        request,
        form,
        heading=_("Clips of change {number} of {rig}").format(number=rig.number, rig=rig.rig),
        submit=_("Tie it to this change"),
        active_nav="changes",
        cancel_url=reverse("rigs:revision", args=[request.production.pk, rig_id, number]),
        template="notes/comparing/evidence.html",
        tied=heard_of(rig).tied,
        about=rig,
        lede=_("What was to be heard before and after, so that anybody can listen again."),
        none_yet=not form.fields["clip"].queryset.exists(),  # type: ignore[attr-defined]
        rig=rig_id,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def of_alternative(request: ProductionRequest, alternative_id: UUID) -> HttpResponse:
    alternative = get_object_or_404(alternatives_of(request.production), pk=alternative_id)
    here = request.get_full_path()
    if "untie" in request.POST:
        clip = posted_id(request, "untie")
        tied = get_object_or_404(AlternativeClip, alternative=alternative, clip=clip)
        return _untied(request, tied, here)
    form = AlternativeClipForm(posted(request), alternative=alternative)
    if _tied(request, form):
        return redirect(here)
    return form_page(
        request,
        form,
        heading=_("What {alternative} sounded like").format(alternative=alternative),
        submit=_("Tie it to this alternative"),
        active_nav="trials",
        cancel_url=alternative.trial.get_absolute_url(),
        template="notes/comparing/evidence.html",
        about=alternative,
        tied=list(alternative.heard.select_related("clip__input")),
        none_yet=not form.fields["clip"].queryset.exists(),  # type: ignore[attr-defined]
        rig=alternative.trial.rig_id,
        input=alternative.trial.input_id,
    )


def _tied(request: ProductionRequest, form: Any) -> bool:
    if not form.is_bound or not form.is_valid():
        return False
    try:
        tied = form.tie(request.user)
    except ValidationError as error:
        # Without names of fields: the form may lack the field that the service names.
        form.add_error(None, forms.ValidationError(error.messages))
        return False
    messages.success(request, _("“{clip}” is tied to it.").format(clip=tied.clip))
    return True


def _untied(
    request: ProductionRequest, tied: ChangeClip | AlternativeClip, here: str
) -> HttpResponse:
    tied.delete()
    messages.success(
        request,
        _("“{clip}” is no longer tied to it. The clip itself stays.").format(clip=tied.clip),
    )
    return redirect(here)
