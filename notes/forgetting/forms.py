"""Forms by which somebody is forgotten, or a picture or sound of them is removed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from core.models import Removal


class RemovalForm(forms.Form):
    asked_by = forms.ChoiceField(
        label=gettext_lazy("on request of"),
        choices=Removal.Request.choices,
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        max_length=300,
        help_text=gettext_lazy(
            "How it was asked for, or by what rule. It stays: name nobody in it."
        ),
    )
    sure = forms.BooleanField(
        label=gettext_lazy("I have read what goes. It cannot be brought back.")
    )

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["asked_by"].initial = Removal.Request.PERSON


class ForgetForm(RemovalForm):
    words = forms.BooleanField(
        label=gettext_lazy("what they said and wrote goes, too"),
        required=False,
        initial=True,
        help_text=gettext_lazy("Without it only the names go, and their words stay as nobody’s."),
    )
    field_order = ("asked_by", "reason", "words", "sure")
