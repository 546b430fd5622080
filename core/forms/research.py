"""What the record does, for one player or for everybody."""

from __future__ import annotations

from typing import Any, ClassVar, cast

from django import forms
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.forms.base import EditForm
from core.forms.durations import DurationInput
from core.models import Player, Research


class ResearchForm(EditForm):
    # One goes through a recording for one player at a time.
    SAME_AGAIN = ("player", "release")

    from_s = DurationInput(
        label=pgettext_lazy("place on a record", "From"),
        help_text=gettext_lazy("Where it starts on the record: 0:40"),
    )
    to_s = DurationInput(label=pgettext_lazy("place on a record", "To"))

    class Meta:
        model = Research
        fields = ["player", "release", "from_s", "to_s", "does", "take"]
        labels = {"player": gettext_lazy("Player")}
        widgets: ClassVar = {
            "does": forms.Textarea(attrs={"rows": 3}),
            "take": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        song = self.instance.song
        known = Player.objects.filter(production=song.production_id)
        choice = cast("forms.ModelChoiceField[Player]", self.fields["player"])
        choice.queryset = known.filter(Q(retired_at=None) | Q(pk=self.instance.player_id))
        choice.empty_label = _("everybody")
        if song.reference:
            self.fields["release"].help_text = _("Empty for “{reference}”.").format(
                reference=song.reference
            )
