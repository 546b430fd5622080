"""What was tried in place of units, found by its model, and how it did."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db.models.signals import post_save
from django.urls import reverse

from core.models import Production, SearchEntry
from core.places import IndexEntry
from core.search.backend import index_all
from rigs.models import UnitAtShow
from rigs.tonight.records import tried


def connect() -> None:
    """Follow the rows as they are saved. Called when the app is ready."""
    post_save.connect(on_row, sender=UnitAtShow, dispatch_uid="search unit at show")


def everything(production: Production) -> Iterator[IndexEntry]:
    yield from entries(tried(production.pk))


def entries(rows: Iterable[UnitAtShow]) -> Iterator[IndexEntry]:
    for row in rows:
        place = row.show.leg.production_id
        path = reverse("rigs:show_gear", args=[place, row.show_id])
        told = [
            f"in place of {row.unit}",
            row.from_whom,
            row.get_fared_display() if row.fared else "",
            row.fared_words,
            row.words,
            str(row.show),
        ]
        body = " · ".join(text for text in told if text)
        yield IndexEntry(place, SearchEntry.Kind.GEAR, row.pk, row.make, body, path)


def on_row(instance: UnitAtShow, **_: object) -> None:
    if instance.what == UnitAtShow.What.REPLACED:
        index_all(entries([instance]))
