"""The form to note that something was changed: on which day, for which show."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from core.forms.base import DateInput
from core.models import Show
from rigs.models import Spare
from rigs.upkeep.services import today


class DoneForm(forms.Form):
    """The form to note a change; cleans to the arguments of `note_done`. Empty it means today."""

    done_on = forms.DateField(label=gettext_lazy("Changed on"), required=False, widget=DateInput)
    show = forms.ModelChoiceField(
        Show.objects.none(),
        required=False,
        label=gettext_lazy("For the show"),
        empty_label=gettext_lazy("the next one"),
        help_text=gettext_lazy(
            "Which show it plays first. Say so where it was done after a show for another."
        ),
    )
    words = forms.CharField(label=gettext_lazy("Remark"), required=False, max_length=300)

    def __init__(self, spare: Spare, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        shows = Show.objects.live().filter(leg__production=spare.rig.production_id)
        choice: Any = self.fields["show"]
        choice.queryset = shows.filter(leg__retired_at=None).order_by("held_on", "room", "pk")
        self.fields["done_on"].initial = today()
