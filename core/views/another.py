"""*Save and add another*: what the button means on every form of a thing one makes many of.

The next form begins with what is usually the same, which its address names, so that it works
without a script and a page opened anew has it, too. Which fields these are, and why, each form says
beside its fields: `SAME_AGAIN`, or `for_another` where the next one follows from the last (the day
after, the next channel). A view says `offer_another=True` and asks `after_saving` where to go.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from core.forms.repeated import Repeated

BUTTON = "another"


def is_wanted(request: HttpRequest) -> bool:
    return BUTTON in request.POST


def begin(request: HttpRequest, form: forms.BaseForm) -> None:
    """Fill in what the address names; a value that a field does not offer is left out by it."""
    if form.is_bound:
        return
    for name, field in form.fields.items():
        if name not in request.GET or field.widget.is_hidden or field.disabled:
            continue
        many = isinstance(field, forms.MultipleChoiceField | forms.ModelMultipleChoiceField)
        value = request.GET.getlist(name) if many else request.GET[name]
        if _is_new(field, form.initial.get(name), value):
            form.initial[name] = value


def _is_new(field: forms.Field, begun: Any, value: Any) -> bool:
    """Whether the field takes it, and the view has not filled it in by itself."""
    try:
        field.clean(value)
    except ValidationError:
        return False
    return bool(str(field.prepare_value(begun)) != str(value))


def after_saving(request: HttpRequest, form: forms.BaseForm, otherwise: str) -> str:
    """The address of the next such form where it is wanted, else `otherwise`."""
    if not is_wanted(request):
        return otherwise
    return address_of_next(request.path, form)


def address_of_next(form_url: str, form: forms.BaseForm) -> str:
    values = form.for_another() if isinstance(form, Repeated) else {}
    return f"{form_url}?{_query(values)}".removesuffix("?")


def _query(values: Mapping[str, Any]) -> str:
    said = {name: value for name, value in values.items() if value not in (None, "", False, [])}
    return urlencode({n: "on" if v is True else v for n, v in said.items()}, doseq=True)
