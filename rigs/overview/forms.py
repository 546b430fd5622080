"""Forms by which a rig is added, new or as a copy of another, and a unit is copied."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import leading
from core.models import Player, Production
from rigs.editing.kinds import NOTE_ROWS
from rigs.models import Rig, Unit


def players_of(production: Production, current: Any = None) -> Any:
    return production.players.filter(Q(retired_at=None) | Q(pk=current))


class NewRigForm(forms.ModelForm):  # type: ignore[type-arg]
    """A valid form's `instance` is the unsaved rig, for the gateway to put on file."""

    def __init__(self, production: Production, data: QueryDict | None = None) -> None:
        super().__init__(data, instance=Rig(production=production))
        players: Any = self.fields["player"]
        players.queryset = players_of(production)

    class Meta:
        model = Rig
        fields = ("player", "name", "variant", "sound", "notes")
        widgets = {"sound": forms.Textarea(attrs={"rows": 4}), **NOTE_ROWS}


class CopyRigForm(forms.Form):
    """Whose the copy is and what it is called; everything else comes along."""

    player = forms.ModelChoiceField(Player.objects.none(), label=gettext_lazy("Player"))
    name = forms.CharField(max_length=120, label=gettext_lazy("Name"))
    variant = forms.ChoiceField(choices=Rig.Variant.choices, label=gettext_lazy("Variant"))

    def __init__(self, rig: Rig, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        players: Any = self.fields["player"]
        players.queryset = players_of(rig.production, rig.player_id)
        fly = rig.variant == Rig.Variant.MAIN
        self.initial["player"] = rig.player_id
        self.initial["name"] = _("{name} (copy)").format(name=rig.name)[:120]
        self.initial["variant"] = Rig.Variant.FLY if fly else rig.variant


class CopyUnitForm(forms.Form):
    """What the copy of a unit is called, and which rig it goes into."""

    name = forms.CharField(max_length=120, label=gettext_lazy("Name"))
    into = forms.ModelChoiceField(
        Rig.objects.none(),
        label=gettext_lazy("into rig"),
        help_text=gettext_lazy(
            "Its controls, figures and scenes come along. In another rig its scenes set only "
            "what is on the unit itself."
        ),
    )

    def __init__(self, unit: Unit, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        into: Any = self.fields["into"]
        rigs = Rig.objects.filter(retired=False, production=unit.rig.production_id)
        into.queryset = rigs.select_related("player")
        into.label_from_instance = lambda rig: leading(rig.player, rig)
        self.initial["name"] = f"{unit.name} 2"[:120]
        self.initial["into"] = unit.rig_id
