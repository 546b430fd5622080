"""What can be found of the patch: each box, by its name and by every way that something is on, and
what stands in its place at a show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from uuid import UUID

from django.db.models import QuerySet
from django.db.models.signals import post_delete, post_save
from django.urls import reverse

from core.models import Production, SearchEntry, Show
from core.places import IndexEntry
from core.search.backend import forget, index_all
from rigs.models import PatchBox, PatchBoxAtShow
from rigs.patch.rows import BoxList, by_box, patch_and_rows


def boxes(production: Production) -> Iterator[IndexEntry]:
    """One entry for each box, of all shows; as many queries for many as for one."""
    patch, rows = patch_and_rows(production)
    for each in by_box(patch, rows):
        yield _entry(production, each)
    for box in PatchBox.objects.filter(production=production).exclude(retired_at=None):
        yield _indexed(production, box, f"{box.name} (retired)", "")


def at_shows(production: Production) -> Iterator[IndexEntry]:
    """One entry for each box that is another one at a show. One query."""
    yield from _layers(_of_shows().filter(box__production=production))


def connect() -> None:
    """Follow what stands at shows as it is saved. Called when the app is ready."""
    uid = "search of boxes at shows"
    post_save.connect(_on_layer, sender=PatchBoxAtShow, dispatch_uid=uid)
    post_delete.connect(_on_no_layer, sender=PatchBoxAtShow, dispatch_uid=uid)
    post_save.connect(_on_show, sender=Show, dispatch_uid=uid)


def _on_layer(instance: PatchBoxAtShow, **_: object) -> None:
    index_all(_layers([instance]))


def _on_no_layer(instance: PatchBoxAtShow, **_: object) -> None:
    forget(SearchEntry.Kind.GEAR, instance.pk)


def _on_show(instance: Show, created: bool, **_: object) -> None:
    if not created:
        index_all(_layers(_of_shows().filter(show=instance)))


def _of_shows() -> QuerySet[PatchBoxAtShow]:
    return PatchBoxAtShow.objects.select_related("show", "box")


def _layers(rows: Iterable[PatchBoxAtShow]) -> Iterator[IndexEntry]:
    for row in rows:
        place = row.box.production_id
        path = f"{reverse('rigs:show_patch', args=[place, row.show_id])}#box-{row.box_id}"
        retired = " (retired)" if row.show.is_retired or row.box.is_retired else ""
        title = f"{row.box.name} ({row.box.mark}) at {row.show}{retired}"
        yield IndexEntry(place, SearchEntry.Kind.GEAR, row.pk, title, row.said, path)


def index_boxes(production: Production) -> None:
    """Put the boxes in anew, as every change of the patch does."""
    index_all(boxes(production))


def _entry(production: Production, each: BoxList) -> IndexEntry:
    # Both as one word and as two, since crews write A12 and A 12.
    ways = (
        f"{each.box.mark}{way.number} {' / '.join(row.name for row in way.rows)}"
        for way in each.ways
        if way.rows
    )
    said = [each.box.get_kind_display(), each.box.place, *ways]
    title = f"{each.box.name} ({each.box.mark})"
    return _indexed(production, each.box, title, " · ".join(filter(None, said)))


def _indexed(production: Production, box: PatchBox, title: str, body: str) -> IndexEntry:
    path = f"{reverse('rigs:patch', args=[production.pk])}#box-{box.pk}"
    key: UUID = box.pk
    return IndexEntry(production.pk, SearchEntry.Kind.GEAR, key, title, body, path)
