"""What is said when something is shared."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.forms.base import DateInput
from core.guests.links import check_until
from core.languages.choice import NAMES
from core.models import GuestLink
from core.places import Shared

WORD_LENGTH = 6


class ShareForm(forms.Form):
    for_whom = forms.CharField(
        label=_("For whom"),
        max_length=GuestLink._meta.get_field("for_whom").max_length,
        help_text=_(
            "A name, so that you know later whose link this is: the house engineer of the "
            "Weir Hall."
        ),
    )
    until = forms.DateField(
        label=_("Open until the end of"),
        widget=DateInput,
        help_text=_("Then it opens nothing."),
    )
    language = forms.ChoiceField(
        label=_("Language"),
        required=False,
        choices=lambda: [("", gettext("that of their browser")), *NAMES.items()],
        help_text=_("In which they read it first; they can choose another."),
    )
    email = forms.EmailField(
        label=_("Send it by mail to"),
        required=False,
        help_text=_("If you like. The address is used for this one mail and not kept."),
    )
    code = forms.CharField(
        label=_("A word to open it"),
        required=False,
        min_length=WORD_LENGTH,
        max_length=100,
        help_text=_("If you like. Say it by telephone, not in the same message as the link."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "off"}),
    )
    parts = forms.MultipleChoiceField(
        label=_("Only these sections"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Nothing ticked: all of it."),
    )
    may_answer = forms.BooleanField(
        label=_("They may answer"),
        required=False,
        help_text=_(
            "There is a form on their page. What they write carries their name, and that they are "
            "a guest."
        ),
    )

    def __init__(self, *args: Any, shared: Shared, may_ask: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        parts = self.fields["parts"]
        assert isinstance(parts, forms.MultipleChoiceField)  # noqa: S101 - declared so above
        parts.choices = list(shared.parts)
        if not shared.parts:
            del self.fields["parts"]
        if not may_ask:
            del self.fields["may_answer"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if until := cleaned.get("until"):
            check_until(until)
        return cleaned
