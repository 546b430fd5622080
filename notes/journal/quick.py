"""The button that begins a note, on every page of a production.

The address of the page says what the note is about.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.places import ThumbButton

# Argument of an address → parameter of the form that it fills in.
OF_RIG = {"input_id": "input", "unit_id": "unit"}
ANYWHERE = {"session_id": "session", "show_id": "show", "show": "show", "song_id": "song"}
# What a page is about that is itself about one rig; the page where a note begins looks it up.
ABOUT = {"note_id": "note", "clip_id": "clip", "trial_id": "trial"}
PASSED_ON = ("session", "show", "song")


def note_button(request: HttpRequest, member: Member) -> ThumbButton | None:
    """Leads to the form of the page's rig, or to the choice of one. Asks the database nothing."""
    at = request.resolver_match
    # On the form itself the button would lead away from what was typed, to an empty form.
    if at is None or at.view_name == "notes:note_new":
        return None
    if not allowed(member.roles, Action.WRITE_NOTE):
        return None
    named = {name: value for name, value in at.kwargs.items() if name != "production"}
    more = _passed_on(request) | _named(named, ANYWHERE)
    rig = named.get("rig_id") or _id(request.GET.get("rig", ""))
    if rig:
        url = reverse("notes:note_new", args=[member.production.pk, rig])
        return ThumbButton(_with(url, more | _named(named, OF_RIG)), _("Note"), "notebook-pen")
    url = reverse("notes:note_start", args=[member.production.pk])
    return ThumbButton(_with(url, more | _named(named, ABOUT)), _("Note"), "notebook-pen")


def _passed_on(request: HttpRequest) -> dict[str, str]:
    asked = {name: _id(request.GET.get(name, "")) for name in PASSED_ON}
    return {name: str(value) for name, value in asked.items() if value}


def _named(kwargs: dict[str, Any], names: dict[str, str]) -> dict[str, str]:
    return {names[name]: str(value) for name, value in kwargs.items() if name in names}


def _id(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _with(url: str, more: dict[str, str]) -> str:
    return f"{url}?{urlencode(more)}" if more else url
