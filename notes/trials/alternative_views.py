"""The alternatives of a trial: add one, say what was heard, choose."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from notes.journal.log import changes_of_part
from notes.models import Alternative, Trial
from notes.queries import alternatives_of, trials_of
from notes.trials.decide import doubtful
from notes.trials.forms import AlternativeForm, DecisionForm, VerdictForm
from notes.trials.views import refused_if_decided, trial_form_page
from rigs.revisions.record import Conflict


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def new(request: ProductionRequest, trial: UUID) -> HttpResponse:
    found: Trial = get_object_or_404(trials_of(request.production), pk=trial)
    form = AlternativeForm(posted(request), instance=Alternative(trial=found))
    if form.is_bound and form.try_add():
        messages.success(request, "Added. Say what you heard as soon as you have heard it.")
        return redirect(found)
    return refused_if_decided(request, found) or trial_form_page(
        request, form, found, "Something else to hear", "Add it"
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def verdict(request: ProductionRequest, alternative: UUID) -> HttpResponse:
    found = _alternative(request, alternative)
    form = VerdictForm(posted(request), initial={"verdict": found.verdict, "words": found.words})
    if form.is_bound and form.try_give(found):
        messages.success(request, f"What was heard of {found} is written down.")
        return redirect(found.trial)
    return refused_if_decided(request, found.trial) or trial_form_page(
        request,
        form,
        found.trial,
        f"What did you hear of {found}?",
        "Save the verdict",
        alternative=found,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def choose(request: ProductionRequest, alternative: UUID) -> HttpResponse:
    found = _alternative(request, alternative)
    trial = found.trial
    form = DecisionForm(
        posted(request),
        initial={"base": trial.rig.head_number, "decision": found.words},
        swaps=doubtful(found),
    )
    try:
        if form.is_bound and form.try_choose(found, request.user):
            messages.success(request, f"Decided: {found}. The input is changed.")
            return redirect(trial)
    except Conflict as conflict:
        return _meanwhile(request, form, found, conflict)
    return refused_if_decided(request, trial) or trial_form_page(
        request,
        form,
        trial,
        f"Choose {found}",
        "Choose it",
        alternative=found,
    )


def _meanwhile(
    request: ProductionRequest, form: DecisionForm, found: Alternative, conflict: Conflict
) -> HttpResponse:
    """Somebody changed the input: show both, keep the words, decide again on what is there now."""
    trial = found.trial
    meanwhile = changes_of_part(trial.rig, trial.input_id, after=form.cleaned_data["base"])
    form.decide_on(conflict.rig.head_number)
    response = trial_form_page(
        request,
        form,
        trial,
        f"Choose {found}",
        "Choose it all the same",
        alternative=found,
        meanwhile=meanwhile,
    )
    response.status_code = 409
    return response


def _alternative(request: ProductionRequest, alternative: UUID) -> Alternative:
    return get_object_or_404(alternatives_of(request.production), pk=alternative)
