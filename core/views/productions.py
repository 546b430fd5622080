"""A production: start one, its front door, its name."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view, signed_in
from core.clock import now
from core.forms.productions import NewProductionForm, ProductionForm
from core.places import PRODUCTION
from core.services.first_steps import first_steps
from core.services.productions import create_production
from core.services.to_dos import to_dos
from core.services.tours import whereabouts
from core.views.pages import form_page, posted
from core.views.show_lines import put_lines


@require_http_methods(["GET", "POST"])
@signed_in
def new(request: Any) -> HttpResponse:
    form = NewProductionForm(posted(request))
    if form.is_valid():
        values = {key: form.cleaned_data[key] for key in ("name", "about", "roles")}
        production = create_production(by=request.user, **values)
        messages.success(
            request,
            _("{production} is set up. You are its production manager.").format(
                production=production
            ),
        )
        return redirect(production)
    return form_page(
        request,
        form,
        heading=_("Start a production"),
        submit=_("Start it"),
        cancel_url=reverse("core:home"),
        template="core/production_new.html",
    )


@require_safe
@production_view(Action.READ)
def production(request: ProductionRequest) -> HttpResponse:
    place = request.production
    today = timezone.localdate(now())
    tour = whereabouts(production=place, on=today)
    if tour.show:
        put_lines(request, tour.show.leg, tour.show)
    steps = first_steps(request.member)
    waiting = to_dos(request.user, [request.member])[place.pk]
    context = {
        "tour": tour,
        "show": tour.show,
        "today": today,
        "first_steps": steps,
        # What stands among the first steps is not said a second time below them.
        "to_dos": [each for each in waiting if each.url not in {step.url for step in steps}],
        "panels": PRODUCTION.call(request, place),
    }
    return render(request, "core/production.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def edit(request: ProductionRequest) -> HttpResponse:
    form = ProductionForm(posted(request), instance=request.production)
    if form.try_save():
        messages.success(request, _("Saved."))
        return redirect(request.production)
    return form_page(
        request,
        form,
        heading=_("About this production"),
        cancel_url=within(request, "core:production"),
    )
