"""Devices from a few words: several at once, and the reading that the form of an input shows."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.forms.lines import Words
from core.views.pages import form_page, posted
from rigs.inputs.device_words import KINDS, PATTERNS, Line
from rigs.inputs.new_devices import WORDS, LinesForm, add_devices, read_of


@require_safe
@production_view(Action.EDIT_DEVICES)
def read(request: ProductionRequest) -> HttpResponse:
    """What is read of the words so far: the part of the form below them."""
    words = " ".join(request.GET.get(WORDS, "")[:300].split())
    line = read_of(request.production, words) if words else None
    return render(request, "rigs/inputs/_device_read.html", {"line": line})


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_DEVICES)
def several(request: ProductionRequest) -> HttpResponse:
    """The lines; then each as it was read, to be mended there; saved once all of it was seen."""
    mended = [line for line in request.POST.getlist("line") if line.strip()]
    if "again" in request.POST:
        lines = LinesForm(request.production, initial={"lines": "\n".join(mended)})
        return _lines_page(request, lines)
    data = {"lines": "\n".join(mended)} if mended else posted(request)
    form = LinesForm(request.production, data)
    if not form.is_bound or not form.is_valid():
        return _lines_page(request, form)
    if not mended:
        return _read_page(request, form.read)
    seen = set(request.POST.getlist("seen"))
    drafts = [line.draft for line in form.read if line.draft and line.text in seen]
    if len(drafts) < len(form.read) or "look" in request.POST:
        return _read_page(request, form.read)
    made = add_devices(request.production, drafts)
    words = ngettext(
        "{device} is in the list.", "{n} microphones and DIs are in the list.", len(made)
    )
    messages.success(request, words.format(n=len(made), device=made[0]))
    return redirect(reverse("rigs:devices", args=[request.production.pk]))


def _lines_page(request: ProductionRequest, form: LinesForm) -> HttpResponse:
    return form_page(
        request,
        form,
        heading=_("Add several microphones and DIs"),
        active_nav="devices",
        submit=_("Show what was read"),
        fields="core/_lines_and_words.html",
        words=[
            Words(_("Kind"), [str(word) for word in KINDS], " "),
            Words(_("Pattern"), [str(word) for word in PATTERNS], " "),
        ],
        cancel_url=reverse("rigs:devices", args=[request.production.pk]),
    )


def _read_page(request: ProductionRequest, read: list[Line]) -> HttpResponse:
    context = {
        "read": read,
        "wrong": sum(1 for line in read if line.draft is None),
        "cancel_url": reverse("rigs:devices", args=[request.production.pk]),
        "active_nav": "devices",
    }
    return render(request, "rigs/inputs/devices_read.html", context)
