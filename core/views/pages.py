"""What pages with a form have in common."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import BadRequest, ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from core.forms.lines import SeveralForm
from core.models.base import Retirable
from core.services.ordering import Direction
from core.views import another


def posted(request: HttpRequest) -> QueryDict | None:
    """The data to bind a form to; an empty POST binds it, too."""
    return request.POST if request.method == "POST" else None


def form_page(
    request: HttpRequest,
    form: forms.BaseForm,
    *,
    heading: str,
    cancel_url: str,
    active_nav: str = "",
    **more: Any,
) -> HttpResponse:
    """One form under a heading. `more`: submit, lede, and whatever `template` shows besides.

    `offer_another` is for a form of a thing one makes many of (core.views.another).
    """
    if more.get("offer_another"):
        another.begin(request, form)
    template = more.pop("template", "core/edit.html")
    context = {
        "form": form,
        "heading": heading,
        "cancel_url": cancel_url,
        "active_nav": active_nav,
    }
    return render(request, template, context | more)


def several_page(
    request: HttpRequest, form: SeveralForm, *, heading: str, back: str, active_nav: str
) -> HttpResponse:
    """Many records at once, written one a line; `back` lists them."""
    if form.is_bound and form.is_valid():
        made = form.save()
        told = form.added(made)
        messages.success(request, told)
        return redirect(back)
    return form_page(
        request, form, heading=heading, cancel_url=back, active_nav=active_nav, submit=_("Add them")
    )


def retire_or_restore(request: HttpRequest, item: Retirable, back_to: str) -> HttpResponse:
    """Retire what is in use; bring back what the POST says to bring back."""
    if "back" in request.POST:
        item.restore()
        messages.success(request, _("“{item}” is back in use.").format(item=item))
    else:
        item.retire()
        messages.success(
            request, _("“{item}” is retired. What was written about it stays.").format(item=item)
        )
    return redirect(back_to)


def carried_out(request: HttpRequest, act: Callable[[], object], done: str) -> bool:
    """Do what a button asks for; tell that it is `done`, or why it was refused. Whether it was."""
    try:
        act()
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return False
    messages.success(request, done)
    return True


def direction(request: HttpRequest) -> Direction:
    """Which way a reorder button points; anything but “up” is down."""
    return "up" if request.POST.get("direction") == "up" else "down"


def asked_id(request: HttpRequest, name: str) -> UUID | None:
    """The id that the address names; None without one. Raises Http404 for anything else."""
    text = request.GET.get(name, "")
    try:
        return UUID(text) if text else None
    except ValueError:
        raise Http404(f"No such {name}.") from None


def posted_id(request: HttpRequest, name: str) -> UUID:
    """The id a button sent. Raises BadRequest for anything that is none."""
    try:
        return UUID(request.POST.get(name, ""))
    except ValueError:
        raise BadRequest(f"{name} is not an id.") from None
