"""A form field for times typed as m:ss."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from core.durations import format_duration, parse_duration


class DurationInput(forms.CharField):
    """Cleans “4:05” to 245 seconds; None when left empty."""

    def __init__(self, **more: Any) -> None:
        more.setdefault("required", False)
        super().__init__(max_length=12, **more)
        self.widget.attrs.update(
            {
                "autocomplete": "off",
                "autocapitalize": "off",
                "spellcheck": "false",
                "placeholder": "m:ss",
            }
        )

    def prepare_value(self, value: Any) -> Any:
        return format_duration(value) if isinstance(value, int) else value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_duration(text)
        except ValueError as error:
            raise ValidationError(str(error)) from None

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare the seconds, not the texts: “245” is 4:05, and no change."""
        try:
            typed = parse_duration(data) if data and str(data).strip() else None
        except ValueError:
            return True
        # Seconds where it comes from the model, text where it comes from a page.
        known = parse_duration(initial) if isinstance(initial, str) and initial else initial
        return typed != (None if known == "" else known)
