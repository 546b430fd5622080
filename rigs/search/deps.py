"""Deps in the search, by their own name and that of whom they play for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models.signals import post_delete, post_save
from django.urls import reverse

from core.models import Leg, Player, Production, SearchEntry, Show
from core.places import IndexEntry
from core.search.backend import forget, index_all
from rigs.models import ShowDep

KIND = SearchEntry.Kind.PERSON


def connect() -> None:
    """Called when the app is ready. The uid keeps a second call from connecting twice."""
    post_save.connect(on_dep, sender=ShowDep, dispatch_uid="search dep")
    post_delete.connect(on_gone, sender=ShowDep, dispatch_uid="search dep gone")
    # An entry names the show and both players.
    post_save.connect(on_player, sender=Player, dispatch_uid="search player of dep")
    post_save.connect(on_show, sender=Show, dispatch_uid="search show of dep")
    post_save.connect(on_leg, sender=Leg, dispatch_uid="search leg of dep")


def everything(production: Production) -> Iterator[IndexEntry]:
    """All deps of a production. One query."""
    yield from entries(ShowDep.objects.filter(show__leg__production=production))


def entries(deps: QuerySet[ShowDep]) -> Iterator[IndexEntry]:
    named = deps.exclude(name="").select_related("show__leg", "player", "stands_in")
    for dep in named:
        show = dep.show
        until = f"to the end of {show.leg}" if dep.to_leg_end else ""
        body = " · ".join(filter(None, [f"Plays at {show}", until, dep.differs]))
        path = reverse("rigs:show_players", args=[show.leg.production_id, show.pk])
        title = f"{dep} (show retired)" if show.is_retired else str(dep)
        yield IndexEntry(show.leg.production_id, KIND, dep.pk, title, body, path)


def on_dep(instance: ShowDep, **_: Any) -> None:
    if not index_all(entries(ShowDep.objects.filter(pk=instance.pk))):
        forget(KIND, instance.pk)


def on_gone(instance: ShowDep, **_: Any) -> None:
    forget(KIND, instance.pk)


def on_player(instance: Player, created: bool, **_: Any) -> None:
    if not created:
        named = Q(player=instance) | Q(stands_in=instance)
        index_all(entries(ShowDep.objects.filter(named)))


def on_show(instance: Show, created: bool, **_: Any) -> None:
    if not created:
        index_all(entries(ShowDep.objects.filter(show=instance)))


def on_leg(instance: Leg, created: bool, **_: Any) -> None:
    if not created:
        index_all(entries(ShowDep.objects.filter(show__leg=instance)))
