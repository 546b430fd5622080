"""What can be found of changeovers: each by the words of its steps, places and who does them."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Prefetch, QuerySet
from django.db.models.signals import post_save
from django.urls import reverse

from core.models import Production, SearchEntry, Show
from core.places import IndexEntry
from core.search.backend import index_all
from rigs.models import Changeover, ChangeoverStep


def entries(rows: QuerySet[Changeover]) -> Iterator[IndexEntry]:
    """Two queries, however many."""
    steps = ChangeoverStep.objects.filter(taken_out=False).select_related("person", "riser")
    for row in rows.select_related("show__leg").prefetch_related(Prefetch("steps", steps)):
        production = row.show.leg.production_id
        said = [
            ", ".join(
                filter(
                    None, [step.words, str(step.riser or step.place), str(step.person or step.name)]
                )
            )
            for step in row.steps.all()
        ]
        path = reverse("rigs:changeover", args=[production, row.show_id])
        title = f"{row}{' (retired)' if row.show.is_retired else ''}"
        yield IndexEntry(production, SearchEntry.Kind.SHOW, row.pk, title, " · ".join(said), path)


def everything(production: Production) -> Iterator[IndexEntry]:
    yield from entries(Changeover.objects.filter(show__leg__production=production))


def index(row: Changeover) -> None:
    """Put one in anew, in the transaction that changes it."""
    index_all(entries(Changeover.objects.filter(pk=row.pk)))


def connect() -> None:
    """Called once, when the app is ready: a show that gets another name is found under it."""
    post_save.connect(_on_show, sender=Show, dispatch_uid="search of changeovers")


def _on_show(instance: Show, created: bool, **_: object) -> None:
    if not created:
        index_all(entries(Changeover.objects.filter(show=instance)))
