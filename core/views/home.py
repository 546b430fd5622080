"""Home: the productions one is in, and what waits there."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.access.loaders import load_members
from core.access.views import signed_in
from core.services.to_dos import to_dos


@require_safe
@signed_in
def home(request: Any) -> HttpResponse:
    members = load_members(request.user)
    waiting = to_dos(request.user, members)
    places = [{"member": m, "to_dos": waiting[m.production.pk]} for m in members]
    return render(request, "core/home.html", {"places": places})
