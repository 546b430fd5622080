"""The form of a listening session."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from core.forms.base import DateInput, EditForm
from core.models import Show
from notes.models import ListeningSession


class SessionForm(EditForm):
    class Meta:
        model = ListeningSession
        fields = ["name", "held_on", "show", "place", "notes"]
        widgets = {"held_on": DateInput, "notes": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "name": "Rehearsal, playback to the players, soundcheck …",
            "place": "Where it was, if it was at no show.",
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        shows = Show.objects.filter(leg__production=self.instance.production)
        live = shows.filter(retired_at=None) | shows.filter(pk=self.instance.show_id)
        cast("forms.ModelChoiceField", self.fields["show"]).queryset = live.order_by("-held_on")  # type: ignore[type-arg]
