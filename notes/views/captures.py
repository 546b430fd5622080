"""Two captures of one source: measure, look, apply."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Production
from notes.captures.measuring import CannotMeasure, Measured, measure
from notes.captures.proposing import apply, proposals
from notes.models import Clip
from rigs.checks.pictures import CombPicture
from rigs.drawing.plots import draw
from rigs.revisions.record import Conflict


class PairForm(forms.Form):
    first = forms.ModelChoiceField(Clip.objects.none(), label="one capture")
    second = forms.ModelChoiceField(Clip.objects.none(), label="the other capture")

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        clips = Clip.objects.filter(production=production, retired_at=None)
        found = clips.select_related("input__rig").order_by("input__rig", "-brought_at")
        for name in ("first", "second"):
            field: Any = self.fields[name]
            field.queryset = found
            field.label_from_instance = _label


def _label(clip: Any) -> str:
    return f"{clip.input.rig} · {clip.input}: {clip}"


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def captures(request: ProductionRequest) -> HttpResponse:
    """`?first=&second=` name the clips; a POST applies one of the proposals."""
    form = PairForm(request.GET or None, production=request.production)
    measured, why_not = _measured(request)
    if request.method == "POST":
        return _apply(request, measured)
    context = {
        "form": form, "measured": measured, "why_not": why_not, "active_nav": "clips",
        "proposals": proposals(measured) if measured else {},
        "comb": _comb(measured) if measured and measured.is_sure else "",
    }  # fmt: skip
    return render(request, "notes/captures/captures.html", context)


def _measured(request: ProductionRequest) -> tuple[Measured | None, str]:
    wanted = [request.GET.get(name, "") for name in ("first", "second")]
    if not all(wanted):
        return None, ""
    try:
        keys = [UUID(each) for each in wanted]
    except ValueError:
        raise Http404("There is no such clip.") from None
    clips = Clip.objects.filter(production=request.production, pk__in=keys).select_related(
        "sound", "rig__production", "input__device", "production__rehearsal_room"
    )
    found = {clip.pk: clip for clip in clips}
    if not all(key in found for key in keys):
        raise Http404("There is no such clip.")
    try:
        return measure(found[keys[0]], found[keys[1]]), ""
    except CannotMeasure as error:
        return None, str(error)


def _comb(measured: Measured) -> str:
    picture = CombPicture(abs(measured.found.delay_s), 0.0, measured.inverted)
    return mark_safe(draw(picture))  # noqa: S308 - made by rigs.drawing, everything escaped


def _apply(request: ProductionRequest, measured: Measured | None) -> HttpResponse:
    here = request.get_full_path()
    base = request.POST.get("base", "")
    if measured is None or not base.isdigit():
        messages.warning(request, "Pick the two clips first.")
        return redirect(here)
    try:
        made = apply(measured, request.POST.get("what", ""), by=request.user, base=int(base))
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
        return redirect(here)
    except Conflict:
        messages.warning(request, "Someone else changed this input meanwhile. Look again first.")
        return redirect(here)
    messages.success(
        request, f"Change {made.number} is made. Listen again and say how it turned out."
    )
    return redirect("rigs:revision", request.production.pk, made.rig_id, made.number)
