"""The alternatives of a trial: add one, say what was heard, choose."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.another import after_saving
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
def new(request: ProductionRequest, trial_id: UUID) -> HttpResponse:
    trial: Trial = get_object_or_404(trials_of(request.production), pk=trial_id)
    form = AlternativeForm(posted(request), instance=Alternative(trial=trial))
    if form.is_bound and form.try_add():
        messages.success(request, _("Added. Say what you heard as soon as you have heard it."))
        return redirect(after_saving(request, form, trial.get_absolute_url()))
    return refused_if_decided(request, trial) or trial_form_page(
        request, form, trial, _("Something else to hear"), _("Add it"), offer_another=True
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def verdict(request: ProductionRequest, alternative_id: UUID) -> HttpResponse:
    alternative = _alternative(request, alternative_id)
    form = VerdictForm(
        posted(request), initial={"verdict": alternative.verdict, "words": alternative.words}
    )
    if form.is_bound and form.try_give(alternative):
        messages.success(
            request,
            _("What was heard of {alternative} is written down.").format(alternative=alternative),
        )
        return redirect(alternative.trial)
    return refused_if_decided(request, alternative.trial) or trial_form_page(
        request,
        form,
        alternative.trial,
        _("What did you hear of {alternative}?").format(alternative=alternative),
        _("Save the verdict"),
        alternative=alternative,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def choose(request: ProductionRequest, alternative_id: UUID) -> HttpResponse:
    alternative = _alternative(request, alternative_id)
    trial = alternative.trial
    form = DecisionForm(
        posted(request),
        # What was heard is usually why it is chosen.
        initial={"base": trial.rig.head_number, "decision": alternative.words},
        swaps=doubtful(alternative),
    )
    try:
        if form.is_bound and form.try_choose(alternative, request.user):
            messages.success(
                request,
                _("Decided: {alternative}. The input is changed.").format(alternative=alternative),
            )
            return redirect(trial)
    except Conflict as conflict:
        return _meanwhile(request, form, alternative, conflict)
    return refused_if_decided(request, trial) or trial_form_page(
        request,
        form,
        trial,
        _("Choose {alternative}").format(alternative=alternative),
        _("Choose it"),
        alternative=alternative,
    )


def _meanwhile(
    request: ProductionRequest, form: DecisionForm, alternative: Alternative, conflict: Conflict
) -> HttpResponse:
    """Somebody changed the input: show both, with the words that were typed, and let the decision
    be made again on what is there now."""
    trial = alternative.trial
    meanwhile = changes_of_part(trial.rig, trial.input_id, after=form.cleaned_data["base"])
    form.decide_on(conflict.rig.head_number)
    response = trial_form_page(
        request,
        form,
        trial,
        _("Choose {alternative}").format(alternative=alternative),
        _("Choose it all the same"),
        alternative=alternative,
        meanwhile=meanwhile,
    )
    response.status_code = 409
    return response


def _alternative(request: ProductionRequest, alternative_id: UUID) -> Alternative:
    return get_object_or_404(alternatives_of(request.production), pk=alternative_id)
