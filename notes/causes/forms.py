"""How a cause turned out, as it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from core.models import User
from notes.causes.taken_up import Outcome, say_outcome
from notes.models import CauseOutcome, NamedCause


class OutcomeForm(forms.ModelForm):  # type: ignore[type-arg]
    outcome = forms.ChoiceField(
        label=gettext_lazy("How did it turn out?"),
        choices=Outcome.choices,
        widget=forms.RadioSelect,
    )

    class Meta:
        model = CauseOutcome
        fields = ["outcome", "words"]
        labels = {"words": gettext_lazy("how you know")}
        widgets = {"words": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, cause: NamedCause, by: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.cause, self.by = cause, by

    def try_say(self) -> CauseOutcome | None:
        """What was put on record; None if the form has errors."""
        if not self.is_valid():
            return None
        given = self.cleaned_data
        try:
            return say_outcome(self.cause, given["outcome"], given["words"], by=self.by)
        except ValidationError as error:
            self.add_error(None, error)
            return None
