"""The living style guide: every component in every state, for whoever works on the interface."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from core.access.context import NAVIGATION
from core.access.views import public
from core.badges import LOOKS


class SampleForm(forms.Form):
    """Every kind of control; bound with nonsense it shows every kind of error."""

    version = forms.IntegerField(widget=forms.HiddenInput, initial=1)
    label = forms.CharField(max_length=40, help_text="As it is called on stage.")
    contact = forms.EmailField(label="e-mail", required=False)
    gain_db = forms.DecimalField(label="gain, dB", max_value=72, required=False)
    heard_on = forms.DateField(
        label="date", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    pattern = forms.ChoiceField(
        choices=[("", "not known"), ("card", "cardioid"), ("omni", "omnidirectional")],
        required=False,
    )
    verdict = forms.ChoiceField(
        choices=[("keep", "keep"), ("adjust", "adjust"), ("reject", "reject")],
        widget=forms.RadioSelect,
    )
    sections = forms.MultipleChoiceField(
        choices=[("verse", "verse"), ("chorus", "chorus"), ("bridge", "bridge")],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Where it was heard.",
    )
    phantom = forms.BooleanField(label="48 V phantom power", required=False)
    words = forms.CharField(
        label="what was said", required=False, widget=forms.Textarea(attrs={"rows": 4})
    )
    photo = forms.FileField(required=False)

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("phantom") and not self.cleaned_data.get("pattern"):
            raise forms.ValidationError("Say which pattern before you switch phantom power on.")
        return self.cleaned_data


class SampleFilters(forms.Form):
    words = forms.CharField(label="words", required=False)
    player = forms.ChoiceField(
        choices=[("", "everybody"), ("mara", "Mara Ostrowe")], required=False
    )


WRONG = {
    "version": "1",
    "label": "",
    "contact": "mara at example",
    "gain_db": "90",
    "heard_on": "tomorrow",
    "verdict": "",
    "phantom": "on",
    "words": "Too much thump at the low E.",
}


def _navigation() -> list[dict[str, Any]]:
    return [
        {"label": label, "url": "#main", "icon": icon, "key": key}
        for label, _, icon, key in NAVIGATION
    ]


def _message(request: HttpRequest) -> None:
    messages.success(request, "Saved. The bass rig is at change 12 now.")
    messages.info(request, "Nothing was different, so nothing was saved.")
    messages.warning(request, "Saved, but the player has not signed this state.")
    messages.error(request, "The photo is larger than 20 MB and was not saved.")


@public  # routed only where DEBUG is on; it shows invented text and no data
def styleguide(request: HttpRequest) -> HttpResponse:
    _message(request)
    return render(
        request,
        "core/styleguide.html",
        {
            "states": list(LOOKS),
            "form": SampleForm(initial={"pattern": "card", "verdict": "adjust"}),
            "wrong": SampleForm(WRONG, auto_id="wrong_%s"),
            "filters": SampleFilters(auto_id="filter_%s"),
            "nav_items": _navigation(),
            "active_nav": "notes",
            "now": timezone.now(),
            "tokens": ["ground", "surface", "raised", "line", "edge", "ink", "soft", "faint"],
        },
    )
