"""How long the crew takes between two songs."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.durations import format_duration
from core.forms.base import EditForm
from core.forms.durations import DurationInput
from rigs.checks.between_songs import ASSUMED
from rigs.models import ChangeTimes


class ChangeTimesForm(EditForm):
    change_s = DurationInput(
        label=gettext_lazy("Changing the instrument"),
        help_text=format_lazy(
            gettext_lazy(
                "Off with one, on with the other, until it sounds. Empty: {time} is assumed."
            ),
            time=format_duration(ASSUMED.change),
        ),
    )
    string_s = DurationInput(
        label=gettext_lazy("Retuning one string"),
        help_text=format_lazy(
            gettext_lazy("Empty: {time} is assumed."), time=format_duration(ASSUMED.string)
        ),
    )

    class Meta:
        model = ChangeTimes
        fields = ["change_s", "string_s"]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.instance._state.adding:
            # A production has one: who opened an empty form must notice one entered meanwhile.
            self.initial["version"] = 0

    def _an_hour(self, name: str) -> int | None:
        seconds: int | None = self.cleaned_data[name]
        if seconds is not None and seconds > 3600:
            raise ValidationError(_("More than an hour is no gap between songs."))
        return seconds

    def clean_change_s(self) -> int | None:
        return self._an_hour("change_s")

    def clean_string_s(self) -> int | None:
        return self._an_hour("string_s")

    def try_save(self) -> bool:
        try:
            return super().try_save()
        # Two people entered the first times at once, and the unique column let one of them through.
        except IntegrityError:
            self.add_error(None, self.stale_message)
            return False
