"""Find things in a production."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy, pgettext_lazy
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import SearchEntry
from core.search.backend import Hit, SearchPage, search

Kind = SearchEntry.Kind
KINDS = {
    Kind.SONG: gettext_lazy("Songs"),
    Kind.SHOW: gettext_lazy("Shows and legs"),
    Kind.PERSON: gettext_lazy("People"),
    Kind.GEAR: gettext_lazy("Gear"),
    Kind.PHOTO: gettext_lazy("Photos"),
    Kind.NOTE: gettext_lazy("Notes and trials"),
    Kind.CLIP: gettext_lazy("Clips"),
    Kind.CHANGE: gettext_lazy("Changes"),
    Kind.PEOPLE: gettext_lazy("People’s words"),
}
# An icon for each kind, beside its name.
ICONS = {
    Kind.SONG: "music",
    Kind.SHOW: "calendar-days",
    Kind.PERSON: "users",
    Kind.GEAR: "cable",
    Kind.PHOTO: "camera",
    Kind.NOTE: "ear",
    Kind.CLIP: "audio-waveform",
    Kind.CHANGE: "history",
    Kind.PEOPLE: "quote",
}
# What happened at some time, which is said; of the rest it would be when it was put in.
DATED = frozenset({Kind.NOTE, Kind.CLIP, Kind.CHANGE, Kind.PEOPLE})


class SearchForm(forms.Form):
    """What to look for. An address that was tampered with falls back to everything, page one."""

    q = forms.CharField(label=gettext_lazy("Look for"), max_length=200, required=False)
    kind = forms.ChoiceField(
        label=pgettext_lazy("search", "In"),
        choices=[("", gettext_lazy("Everything")), *KINDS.items()],
        required=False,
    )
    page = forms.IntegerField(min_value=1, max_value=100, required=False, widget=forms.HiddenInput)


@require_safe
@production_view(Action.READ)
def results(request: ProductionRequest) -> HttpResponse:
    form = SearchForm(request.GET)
    form.is_valid()
    asked = form.cleaned_data
    text, kind = asked.get("q", ""), asked.get("kind", "")
    found = search(request.production, text, kind or None, asked.get("page") or 1)
    context = {
        "form": form,
        "text": text,
        "terms": found.terms,
        "page": found.page,
        "active_nav": "search",
        "found": found,
        "again": _query(text, kind),
        "exact": [_shown(hit) for hit in found.hits if not hit.is_similar],
        "forgiven": [_shown(hit) for hit in found.hits if hit.is_similar],
        "similar": [(word, f"?{_query(word, kind)}") for word in found.similar],
        "everything_url": f"?{urlencode({'q': text})}" if kind else "",
        **_neighbours(text, kind, found),
    }
    return render(request, "core/search.html", context)


def _shown(hit: Hit) -> dict[str, Any]:
    kind = Kind(hit.kind)
    return {"hit": hit, "kind": KINDS[kind], "icon": ICONS[kind], "is_dated": kind in DATED}


def _query(text: str, kind: str) -> str:
    return urlencode({"q": text, "kind": kind} if kind else {"q": text})


def _neighbours(text: str, kind: str, found: SearchPage) -> dict[str, Any]:
    def page(number: int) -> str:
        return "?" + urlencode({"q": text, "kind": kind, "page": number})

    return {
        "better_url": page(found.page - 1) if found.page > 1 else "",
        "more_url": page(found.page + 1) if found.has_more else "",
    }
