"""What can be found of the backline specification: each line, with what was offered and came."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import QuerySet
from django.urls import reverse

from core.models import Production, SearchEntry
from core.places import IndexEntry
from rigs.models import BacklineLine


def lines(lines: QuerySet[BacklineLine]) -> Iterator[IndexEntry]:
    """Three queries, however many."""
    for line in lines.select_related("leg", "show").prefetch_related("answers"):
        production = line.leg.production_id
        said = [
            text
            for answer in line.answers.all()
            for text in (answer.offered, answer.from_whom, answer.came, answer.notes)
        ]
        parts = [line.wanted, line.accepted, line.refused, line.notes, *said]
        body = " · ".join(" ".join(text.split()) for text in parts if text.strip())
        where = line.show or line.leg
        title = f"Backline: {line.what} · {where}{' (retired)' if line.is_retired else ''}"
        if line.show_id:
            path = reverse("rigs:show_backline", args=[production, line.show_id])
        else:
            path = reverse("rigs:leg_backline", args=[production, line.leg_id])
        path = f"{path}#line-{line.pk}"
        yield IndexEntry(production, SearchEntry.Kind.SHOW, line.pk, title, body, path)


def everything(production: Production) -> Iterator[IndexEntry]:
    yield from lines(BacklineLine.objects.filter(leg__production=production))
