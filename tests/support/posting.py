"""Send a form back as a browser would: every field as it was shown, with some typed over."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html.parser import HTMLParser
from typing import Any

from django import forms
from django.http import QueryDict


class _Controls(HTMLParser):
    """Collects what a browser would send of the page's forms that post."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.select = self.area = ""
        self.first = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = dict(attrs)
        name, kind = known.get("name") or "", known.get("type")
        if tag == "input" and name:
            if kind not in ("checkbox", "radio"):
                self.sent[name] = known.get("value") or ""
            # A box that is not ticked is not sent at all.
            elif "checked" in known:
                self.sent[name] = known.get("value") or "on"
        elif tag == "select":
            self.select, self.first = name, True
        # Where no option is selected a browser sends the first.
        elif tag == "option" and self.select and (self.first or "selected" in known):
            self.sent[self.select], self.first = known.get("value") or "", False
        elif tag == "textarea":
            self.area = name
            self.sent[name] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self.select = ""
        elif tag == "textarea":
            self.area = ""

    def handle_data(self, data: str) -> None:
        if self.area:
            # A browser leaves out one line break after the tag (HTML Living Standard, 13.2.6.4.7,
            # from memory).
            self.sent[self.area] += data.removeprefix("\n") if not self.sent[self.area] else data


def shown(html: str) -> dict[str, str]:
    """Names and values of the controls in the forms with the class “form” of a page."""
    found = _Controls()
    for form in re.findall(r'<form class="form[^>]*>.*?</form>', html, re.DOTALL):
        found.feed(form)
    return found.sent


def as_posted(form: forms.BaseForm, typed: Mapping[str, Any]) -> QueryDict:
    """The form's fields as they are shown, `typed` over them."""
    parser = _Controls()
    parser.feed(str(form.as_div()))
    data = QueryDict(mutable=True)
    data.update(parser.sent)
    for name, value in typed.items():
        data[name] = str(value)
    return data
