"""Fields that several forms of notes share."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from core.models import Production, Section, Song
from notes.models import Note


class SectionChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A section under the name of its song, so that one list serves all songs."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.song}: {obj.name}"


class NotesChoice(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """A choice of the notes that are the reason, each with its speaker and its verdict."""

    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, obj: Any) -> str:
        return f"“{obj}” ({speaker(obj)}, {obj.get_verdict_display()})"


def speaker(note: Note) -> str:
    """Who said it, or whose reading it is."""
    return str(note.said_by_player or note.said_by_name or note.written_by)


def songs_of(production: Production) -> QuerySet[Any]:
    return Song.objects.filter(production=production, retired_at=None)


def sections_of(production: Production) -> QuerySet[Any]:
    return (
        Section.objects.filter(song__production=production, retired_at=None, song__retired_at=None)
        .select_related("song")
        .order_by("song__position", "song__title", "position", "name")
    )
