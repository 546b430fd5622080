"""Several inputs at once, written one a line and looked at before they are saved."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted
from rigs.editing.pages import find_rig
from rigs.input_lines.forms import SeveralInputsForm, TakenInputsForm, add_inputs


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def several(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    if "again" in request.POST:  # back from what was read to the lines
        lines = {"lines": request.POST.get("lines", "")}
        return _lines_page(request, SeveralInputsForm(rig, initial=lines))
    form = SeveralInputsForm(rig, posted(request))
    if not form.is_bound or not form.is_valid():
        return _lines_page(request, form)
    looked_at = "looked_at" in request.POST
    taken = TakenInputsForm(rig, form.drafts, request.POST if looked_at else None)
    if not looked_at or not taken.is_valid():
        return _taken_page(request, form, taken)
    count = add_inputs(taken, author=request.user)
    messages.success(
        request,
        _("{count} inputs are added.").format(count=count)
        if count > 1
        else _("One input is added."),
    )
    return redirect(f"{rig.get_absolute_url()}#inputs")


def _lines_page(request: ProductionRequest, form: SeveralInputsForm) -> HttpResponse:
    return form_page(
        request,
        form,
        heading=_("Add several inputs"),
        active_nav="rigs",
        submit=_("Show what was read"),
        cancel_url=f"{form.rig.get_absolute_url()}#inputs",
        template="rigs/input_lines/several.html",
        fields="core/_lines_and_words.html",
        words=form.words,
        rig=form.rig,
    )


def _taken_page(
    request: ProductionRequest, lines: SeveralInputsForm, taken: TakenInputsForm
) -> HttpResponse:
    return form_page(
        request,
        taken,
        heading=_("Is this what you meant?"),
        active_nav="rigs",
        cancel_url=f"{lines.rig.get_absolute_url()}#inputs",
        template="rigs/input_lines/taken.html",
        rig=lines.rig,
        lines=lines.cleaned_data["lines"],
    )
