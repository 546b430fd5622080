"""Forms of clips that are stored: change what is said of one, filter the list."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy

from core.forms.base import EditForm
from core.models import Production
from notes.clips.form_fields import ChangeNumber, DateTimeInput, NoteChoice, change_of, offer
from notes.clips.services import ClipRequest, check
from notes.filters import Filters, any_of
from notes.form_fields import SectionChoice, songs_of
from notes.models import Clip, ListeningSession
from notes.queries import rigs_of
from rigs.models import Input


class ClipForm(EditForm):
    """What is said about a clip; the sound itself stays what it is."""

    section = SectionChoice(queryset=None, required=False, label=gettext_lazy("Section"))
    note = NoteChoice(queryset=None, required=False, label=gettext_lazy("Note"))
    number = ChangeNumber()

    class Meta:
        model = Clip
        fields = (
            "name",
            "input",
            "song",
            "section",
            "take",
            "words",
            "session",
            "note",
            "recorded_at",
        )
        widgets = {"recorded_at": DateTimeInput, "words": forms.Textarea(attrs={"rows": 2})}
        labels = {
            "words": gettext_lazy("what to listen for"),
            "session": gettext_lazy("on the occasion of"),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self, self.instance.rig, current=self.instance)
        self.initial["number"] = self.instance.revision.number

    def clean_number(self) -> int:
        number: int = self.cleaned_data["number"]
        self.instance.revision = change_of(self.instance.rig, number)
        return number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors:
            names = ("input", "song", "section", "session", "note")
            check(ClipRequest(rig=self.instance.rig, **{name: cleaned[name] for name in names}))
            if cleaned["section"] and not cleaned["song"]:
                cleaned["song"] = cleaned["section"].song
        return cleaned


_ALL_RIGS: Any = gettext_lazy("all rigs")
_ALL_INPUTS: Any = gettext_lazy("all inputs")
_ALL_SONGS: Any = gettext_lazy("all songs")
_ALL_SESSIONS: Any = gettext_lazy("all sessions")


class ClipFilters(Filters):
    rig = any_of(_ALL_RIGS, label=gettext_lazy("Rig"))
    input = any_of(_ALL_INPUTS, label=gettext_lazy("Input"))
    song = any_of(_ALL_SONGS, label=gettext_lazy("Song"))
    session = any_of(_ALL_SESSIONS, label=gettext_lazy("Session"))

    def offered(self) -> dict[str, QuerySet[Any]]:
        place: Production = self.production
        return {
            "rig": rigs_of(place),
            "input": Input.objects.filter(rig__production=place).select_related("rig"),
            "song": songs_of(place),
            "session": ListeningSession.objects.filter(production=place),
        }
