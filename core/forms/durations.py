"""Form fields for times typed as m:ss, or in minutes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.durations import format_duration, format_minutes, parse_duration, parse_minutes

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class DurationInput(forms.CharField):
    """Cleans “4:05” to 245 seconds; None when left empty."""

    PLACEHOLDER: StrOrPromise = gettext_lazy("m:ss")

    def __init__(self, **more: Any) -> None:
        more.setdefault("required", False)
        super().__init__(max_length=12, **more)
        self.widget.attrs.update(
            {
                "autocomplete": "off",
                "autocapitalize": "off",
                "spellcheck": "false",
                "placeholder": self.PLACEHOLDER,
            }
        )

    def prepare_value(self, value: Any) -> Any:
        return self.in_text(value) if isinstance(value, int) else value

    def in_text(self, seconds: int) -> str:
        return format_duration(seconds)

    def in_seconds(self, text: str) -> int:
        """Raises ValueError, with words fit for a form."""
        return parse_duration(text)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return self.in_seconds(text)
        except ValueError as error:
            raise ValidationError(str(error)) from None

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare the seconds, not the texts: “245” is 4:05, and no change."""
        try:
            typed = self.in_seconds(data) if data and str(data).strip() else None
        except ValueError:
            return True
        # Seconds where it comes from the model, text where it comes from a page.
        known = self.in_seconds(initial) if isinstance(initial, str) and initial else initial
        return typed != (None if known == "" else known)


class MinutesInput(DurationInput):
    """Cleans “3” to 180 seconds, “2:30” to 150; None when left empty."""

    PLACEHOLDER: StrOrPromise = pgettext_lazy("minutes", "min")

    def in_text(self, seconds: int) -> str:
        return format_minutes(seconds)

    def in_seconds(self, text: str) -> int:
        return parse_minutes(text)
