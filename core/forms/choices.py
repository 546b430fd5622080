"""A list to choose from that may be long."""

from __future__ import annotations

from typing import Any

from django import forms
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString


class LongSelect(forms.Select):
    """Written in one go, where Django renders two templates for each choice. Without groups."""

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        chosen = {str(each) for each in self.format_value(value)}
        options = format_html_join(
            "\n",
            '<option value="{}"{}>{}</option>',
            (
                (key, SafeString(" selected") if str(key) in chosen else "", words)
                for key, words in self.choices
            ),
        )
        given = flatatt({"name": name, **self.build_attrs(self.attrs, attrs)})
        return format_html("<select{}>{}</select>", given, options)
