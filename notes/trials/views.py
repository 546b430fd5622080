"""Trials: the list, one trial, opening one, keeping what was there."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted
from notes.comparing.evidence import compare_url
from notes.filters import TrialFilters
from notes.models import Trial
from notes.paging import page
from notes.queries import trials_of, with_because_of
from notes.trials.forms import TrialForm, UnchangedForm
from notes.trials.services import TrialDecided, check_open
from rigs.models import Input


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    filters = TrialFilters(request.GET, production=request.production)
    trials = trials_of(request.production).filter(filters.condition())
    context = {
        "filters": filters,
        "page": page(trials, request.GET, by="opened_at"),
        "active_nav": "trials",
    }
    return render(request, "notes/trials/trials.html", context)


@require_safe
@production_view(Action.READ)
def trial(request: ProductionRequest, trial_id: UUID) -> HttpResponse:
    rows = with_because_of(trials_of(request.production)).prefetch_related(
        "alternatives__heard__clip"
    )
    trial = get_object_or_404(rows, pk=trial_id)
    clips = [each.clip for one in trial.alternatives.all() for each in one.heard.all()]
    context = {"trial": trial, "compare_url": compare_url(clips), "active_nav": "trials"}
    return render(request, "notes/trials/trial.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def new(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    about = get_object_or_404(
        Input.objects.select_related("rig__production"),
        pk=input_id,
        rig=rig_id,
        rig__production=request.production,
    )
    form = TrialForm(
        posted(request),
        input=about,
        by=request.user,
        initial={
            "because_of": request.GET.getlist("note"),
            "question": request.GET.get("question", ""),
        },
    )
    opened = form.try_open() if form.is_bound else None
    if opened:
        messages.success(request, _("The trial is open. Add what you want to hear."))
        return redirect(opened)
    return form_page(
        request,
        form,
        heading=_("A trial on {about}").format(about=about),
        submit=_("Open the trial"),
        active_nav="trials",
        cancel_url=reverse("rigs:input", args=[request.production.pk, rig_id, input_id]),
        lede=_("Hear two or more ways of picking it up before anything is decided."),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def keep(request: ProductionRequest, trial_id: UUID) -> HttpResponse:
    trial = _trial(request, trial_id)
    form = UnchangedForm(posted(request), trial=trial)
    if form.is_bound and form.try_leave_unchanged(request.user):
        messages.success(request, _("Decided: it stays as it was."))
        return redirect(trial)
    if refused := refused_if_decided(request, trial):
        return refused
    return trial_form_page(request, form, trial, _("Keep what was there"), _("Keep it"))


def refused_if_decided(request: ProductionRequest, trial: Trial) -> HttpResponse | None:
    """A redirect to the trial, if it is decided and a form of it is opened; None otherwise.

    A form that was sent is not turned away: it is shown again with what was typed.
    """
    if request.method == "POST":
        return None
    try:
        check_open(trial)
    except TrialDecided as decided:
        messages.error(request, decided.message)
        return redirect(trial)
    return None


def trial_form_page(
    request: ProductionRequest,
    form: BaseForm,
    trial: Trial,
    heading: str,
    submit: str,
    **more: object,
) -> HttpResponse:
    return form_page(
        request,
        form,
        heading=heading,
        submit=submit,
        trial=trial,
        active_nav="trials",
        cancel_url=trial.get_absolute_url(),
        template="notes/trials/trial_form.html",
        **more,
    )


def _trial(request: ProductionRequest, trial_id: UUID) -> Trial:
    return get_object_or_404(trials_of(request.production), pk=trial_id)
