"""A production: start one, its front door, its name."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view, signed_in
from core.clock import now
from core.forms.productions import NewProductionForm, ProductionForm
from core.places import PRODUCTION
from core.services.productions import create_production
from core.services.to_dos import to_dos
from core.services.tours import whereabouts
from core.views.pages import form_page, posted


@require_http_methods(["GET", "POST"])
@signed_in
def new(request: Any) -> HttpResponse:
    form = NewProductionForm(posted(request))
    if form.is_valid():
        values = {key: form.cleaned_data[key] for key in ("name", "about", "roles")}
        production = create_production(by=request.user, **values)
        messages.success(request, f"{production} is set up. You are its production manager.")
        return redirect(production)
    return form_page(
        request,
        form,
        heading="Start a production",
        submit="Start it",
        cancel_url=reverse("core:home"),
        template="core/production_new.html",
    )


@require_safe
@production_view(Action.READ)
def production(request: ProductionRequest) -> HttpResponse:
    place = request.production
    today = timezone.localdate(now())
    context = {
        "tour": whereabouts(production=place, on=today),
        "today": today,
        "to_dos": to_dos(request.user, [request.member])[place.pk],
        "panels": PRODUCTION.call(request, place),
    }
    return render(request, "core/production.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def edit(request: ProductionRequest) -> HttpResponse:
    form = ProductionForm(posted(request), instance=request.production)
    if form.try_save():
        messages.success(request, "Saved.")
        return redirect(request.production)
    return form_page(
        request,
        form,
        heading="About this production",
        cancel_url=within(request, "core:production"),
    )
