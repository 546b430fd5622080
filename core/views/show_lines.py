"""What apps know of shows, as it stands in their cards: rendered once, for all who may see it."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from core.kept.shelf import Shelf
from core.models import Leg, Show
from core.places import SHOWS


def put_lines(request: HttpRequest, leg: Leg, show: Show | None = None) -> None:
    """Give each show of `leg` that is in use its `lines`, or `show` alone, which is of that leg.

    Two queries, and those of every app once something was written in the production.
    """
    # Nothing else of the reader is in it: no line says what some may do.
    scale = getattr(request.user, "temperature_scale", "")
    asked = [leg.pk, show and show.pk, get_language(), scale]
    made = partial(_lines, request, leg, show)
    kept = Shelf(leg.production_id).get("lines of shows", asked, made)
    for each in [show] if show else leg.shows.all():
        lines: SafeString = mark_safe(kept.get(str(each.pk), ""))  # noqa: S308
        each.lines = lines  # type: ignore[attr-defined]


def _lines(request: HttpRequest, leg: Leg, show: Show | None) -> dict[str, str]:
    if show:
        only = Show.objects.filter(pk=show.pk).select_related("own_set")
        prefetch_related_objects([leg], Prefetch("shows", only))
    known = SHOWS.call(request, leg)
    return {str(each.pk): _rendered(request, leg, each, known) for each in _in_use(leg)}


def _in_use(leg: Leg) -> list[Show]:
    return [show for show in leg.shows.all() if not show.is_retired]


def _rendered(request: HttpRequest, leg: Leg, show: Show, known: list[Any]) -> str:
    context = {
        "request": request,
        "production": leg.production,
        "show": show,
        "panels": [each[show.pk] for each in known if show.pk in each],
    }
    return render_to_string("core/_show_lines.html", context)
