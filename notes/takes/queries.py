"""Recordings as lists and pages show them."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Count, Prefetch, QuerySet
from django.shortcuts import get_object_or_404

from core.models import Production
from notes.models import RecordedFile, Recording, Take
from notes.takes.index import takes_of


def recordings_of(production: Production) -> QuerySet[Recording]:
    """Newest first, each with how many `files` and `takes` it has. One query."""
    return (
        Recording.objects.filter(production=production)
        .select_related("session__show__leg", "production", "brought_by")
        .annotate(
            file_count=Count("files", distinct=True), take_count=Count("takes", distinct=True)
        )
        .order_by("-brought_at", "-pk")
    )


def with_index(recordings: QuerySet[Recording]) -> QuerySet[Recording]:
    """With files, but not their levels, and takes at hand. Two more queries."""
    files = RecordedFile.objects.select_related("sound").defer("levels").order_by("position", "pk")
    takes = Take.objects.select_related("song", "by").order_by("starts_s")
    return recordings.prefetch_related(Prefetch("files", files), Prefetch("takes", takes))


def take_of(production: Production, take: UUID) -> Take:
    """The take, with which one of its song it is. Raises Http404. Two queries."""
    rows = Take.objects.select_related("recording__session__show", "recording__production")
    found: Take = get_object_or_404(rows, pk=take, recording__production=production)
    return next(each for each in takes_of(found.recording) if each.pk == found.pk)
