"""Fields of the forms of clips, and what they offer."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.dates import day
from core.languages.words import leading
from notes.clips.times import parse_time
from notes.form_fields import sections_of, songs_of
from notes.models import Clip, ListeningSession, Note
from notes.queries import inputs_of
from rigs.models import Input, Revision, Rig

NEWEST_NOTES = 100


class TimeInput(forms.CharField):
    """A place in a sound; cleans to seconds, or None when left empty."""

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, max_length=20, **more)
        self.widget.attrs.update({"autocapitalize": "off", "spellcheck": "false"})

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        try:
            return parse_time(text) if text else None
        except ValueError as error:
            raise ValidationError(str(error)) from None


class DateTimeInput(forms.DateTimeInput):
    """The browser's own picker of a date and a time."""

    input_type = "datetime-local"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        # The one spelling of a moment that the browser's picker reads.
        super().__init__({"step": 1, **(attrs or {})}, format="%Y-%m-%dT%H:%M:%S")


class NoteChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: Any) -> str:
        return leading(day(obj.written_at), obj)


class ChangeNumber(forms.IntegerField):
    """The number of a change of the rig."""

    def __init__(self, **more: Any) -> None:
        super().__init__(
            label=gettext_lazy("rig as of change"),
            min_value=1,
            help_text=gettext_lazy("How the rig was when this was recorded."),
            **more,
        )


def change_of(rig: Rig, number: int) -> Revision:
    """The change of `rig` with that number. Raises ValidationError where it has none such."""
    revision = Revision.objects.filter(rig=rig, number=number).first()
    if revision is None:
        raise ValidationError(
            _("The rig has changes 1 to {head_number}.").format(head_number=rig.head_number)
        )
    return revision


def offer(form: forms.BaseForm, rig: Rig, current: Clip | None = None) -> None:
    """Fill the choices with what belongs to the rig; what a clip has already stays a choice."""
    place = rig.production
    inputs: QuerySet[Any] = inputs_of(rig)
    notes = Note.objects.filter(rig=rig)
    newest = list(notes.order_by("-written_at").values_list("pk", flat=True)[:NEWEST_NOTES])
    if current is not None:
        inputs = Input.objects.filter(Q(rig=rig, retired=False) | Q(pk=current.input_id))
        newest += [current.note_id] if current.note_id else []
    offered: dict[str, tuple[QuerySet[Any], str]] = {
        "input": (inputs.select_related("device"), ""),
        "song": (songs_of(place), _("no song in particular")),
        "section": (sections_of(place), _("no section in particular")),
        "session": (ListeningSession.objects.filter(production=place), _("no session")),
        "note": (notes.filter(pk__in=newest), _("no note")),
    }
    for name, (choices, nothing) in offered.items():
        if name in form.fields:
            field = cast("forms.ModelChoiceField", form.fields[name])  # type: ignore[type-arg]
            field.queryset = choices
            if nothing:
                field.empty_label = nothing
