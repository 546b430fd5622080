"""The filters above the list of notes and above the change log."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import get_language, gettext_lazy

from core.forms.base import DateInput
from core.forms.choices import LongSelect
from core.kept.shelf import Shelf
from core.models import Player, Production, User
from notes.models import ListeningSession, Note
from notes.queries import rigs_of
from notes.states import NoteState, in_state
from rigs.changes.reasons import LABELS
from rigs.models import Device, Input

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class Filters(forms.Form):
    """Filters of a list. A value that is not possible is named as an error and narrows nothing."""

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        self.production = production
        for name, choices in self.offered().items():
            cast("forms.ModelChoiceField", self.fields[name]).queryset = choices  # type: ignore[type-arg]

    def offered(self) -> dict[str, QuerySet[Any]]:
        raise NotImplementedError

    def take_from(self, shelf: Shelf, names: Sequence[str]) -> None:
        """Let these lists be written from what is kept, until something is written in the
        production. One query instead of one for each."""
        fields = {name: cast("Any", self.fields[name]) for name in names}

        def offered() -> dict[str, list[tuple[str, str]]]:
            return {
                name: [(str(row.pk), field.label_from_instance(row)) for row in field.queryset]
                for name, field in fields.items()
            }

        kept = shelf.get("filters", [get_language(), *names], offered)
        for name, field in fields.items():
            field.choices = [("", field.empty_label), *kept[name]]

    @property
    def narrows(self) -> bool:
        return bool(self.chosen())

    def chosen(self) -> dict[str, Any]:
        # Called for its effect: it fills `cleaned_data` with the fields that are valid.
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


def any_of(words: StrOrPromise, label: StrOrPromise | None = None) -> forms.ModelChoiceField:  # type: ignore[type-arg]
    """A field with a choice among what `offered` gives; empty, it narrows nothing."""
    return forms.ModelChoiceField(
        queryset=None, required=False, empty_label=words, label=label, widget=LongSelect
    )


class NoteFilters(Filters):
    state = forms.ChoiceField(
        required=False,
        choices=[("", gettext_lazy("any state")), *NoteState.choices],
        label=gettext_lazy("What became of it"),
    )
    verdict = forms.ChoiceField(
        required=False,
        choices=[("", gettext_lazy("any verdict")), *Note.Verdict.choices],
        label=gettext_lazy("Verdict"),
    )
    rig = any_of(gettext_lazy("all rigs"), gettext_lazy("Rig"))
    session = any_of(gettext_lazy("all sessions"), gettext_lazy("Session"))
    KEPT = ("rig", "session")

    def offered(self) -> dict[str, QuerySet[Any]]:
        return {
            "rig": rigs_of(self.production),
            "session": ListeningSession.objects.filter(production=self.production),
        }

    def narrow(self, notes: QuerySet[Note]) -> QuerySet[Note]:
        """Those of `notes`, which have their states, that are asked for."""
        chosen = self.chosen()
        if state := chosen.pop("state", ""):
            notes = in_state(notes, state)
        return notes.filter(**chosen)


class TrialFilters(Filters):
    state = forms.ChoiceField(
        required=False,
        choices=[
            ("", gettext_lazy("open and decided")),
            ("open", gettext_lazy("open")),
            ("decided", gettext_lazy("decided")),
        ],
        label=gettext_lazy("State"),
    )
    rig = any_of(gettext_lazy("all rigs"), gettext_lazy("Rig"))

    def offered(self) -> dict[str, QuerySet[Any]]:
        return {"rig": rigs_of(self.production)}

    def condition(self) -> Q:
        chosen = self.chosen()
        condition = Q(rig=chosen["rig"]) if "rig" in chosen else Q()
        if "state" in chosen:
            condition &= Q(decided_at__isnull=chosen["state"] == "open")
        return condition


class ChangeFilters(Filters):
    # Of what the log hears of; it does not hear who is a member.
    KEPT = ("rig", "player", "input", "device")

    rig = any_of(gettext_lazy("all rigs"), gettext_lazy("Rig"))
    player = any_of(gettext_lazy("all players"), gettext_lazy("Player"))
    input = any_of(gettext_lazy("all inputs"), gettext_lazy("Input"))
    device = any_of(gettext_lazy("any microphone or DI"), gettext_lazy("microphone or DI"))
    author = any_of(gettext_lazy("anybody"), gettext_lazy("changed by"))
    reason = forms.ChoiceField(
        required=False,
        choices=[
            ("", gettext_lazy("any reason")),
            *((str(kind), gettext_lazy(label)) for kind, label in LABELS.items()),
        ],
        label=gettext_lazy("Reason"),
    )
    since = forms.DateField(required=False, widget=DateInput, label=gettext_lazy("from"))
    until = forms.DateField(required=False, widget=DateInput, label=gettext_lazy("to"))
    everything = forms.BooleanField(
        required=False,
        label=gettext_lazy("Show every change"),
        help_text=gettext_lazy("Otherwise: inputs, and whatever was changed for a reason."),
    )

    def offered(self) -> dict[str, QuerySet[Any]]:
        place = self.production
        return {
            "rig": rigs_of(place),
            "player": Player.objects.filter(production=place),
            "input": Input.objects.filter(rig__production=place).select_related("rig"),
            "device": Device.objects.filter(production=place),
            "author": User.objects.filter(memberships__production=place).distinct(),
        }
