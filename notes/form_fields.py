"""Fields that several forms of notes share."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from core.languages.words import leading
from core.models import Production, Section, Song
from core.sets.order import SetOfShow
from notes.models import Note


class SectionChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A section under the name of its song, so that one list serves all songs."""

    def label_from_instance(self, obj: Any) -> str:
        return leading(obj.song, obj.name)


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


def songs_at(found: SetOfShow, songs: QuerySet[Any]) -> list[tuple[str, Any]]:
    """The choices among `songs` at a show: those that are played in its order, then the rest, of
    which those that are cut come last. One query."""
    titles = {song.pk: song.title for song in songs}
    played = dict.fromkeys(line.song.pk for line in found.played if line.song)
    lines = (line.song.pk for line in found.lines if line.song)
    cut = [pk for pk in lines if pk not in played]
    rest = [pk for pk in titles if pk not in played and pk not in cut]
    groups = (
        (_("Tonight"), [pk for pk in played if pk in titles]),
        (_("Not in the set"), rest),
        (_("Cut"), [pk for pk in dict.fromkeys(cut) if pk in titles]),
    )
    offered = [(name, [(str(pk), titles[pk]) for pk in pks]) for name, pks in groups if pks]
    return [("", _("no song in particular")), *offered]


def sections_of(production: Production) -> QuerySet[Any]:
    return (
        Section.objects.filter(song__production=production, retired_at=None, song__retired_at=None)
        .select_related("song")
        .order_by("song__position", "song__title", "position", "name")
    )
