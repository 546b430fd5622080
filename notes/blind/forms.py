"""The forms of a blind trial."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from core.models import Player, Production, User
from notes.blind import invitations, services
from notes.comparing.forms import clip_label
from notes.comparing.sides import FEWEST
from notes.models import BlindTrial, Clip, Trial


class BlindForm(forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = BlindTrial
        fields = ["clip_a", "clip_b", "listeners", "rounds"]
        labels = {"clip_a": gettext_lazy("one clip"), "clip_b": gettext_lazy("the other clip")}
        error_messages = {
            "rounds": {
                "min_value": gettext_lazy("%(limit_value)s rounds at least."),
                "max_value": gettext_lazy("%(limit_value)s rounds at most."),
            },
            "listeners": {
                "required": gettext_lazy("Say how many will listen."),
                "min_value": gettext_lazy("%(limit_value)s listener at least."),
                "max_value": gettext_lazy("%(limit_value)s listeners at most."),
            },
        }

    def __init__(self, *args: Any, trial: Trial, by: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.trial, self.by = trial, by
        clips = Clip.objects.filter(input=trial.input_id, retired_at=None)
        self.too_few = clips.count() < FEWEST
        for name in ("clip_a", "clip_b"):
            field = cast("Any", self.fields[name])
            field.queryset = clips.select_related("sound", "input")
            field.label_from_instance = clip_label

    def try_open(self) -> BlindTrial | None:
        """The new blind trial; None if the form has errors."""
        if not self.is_valid():
            return None
        chosen = self.cleaned_data
        try:
            return services.open_blind(
                trial=self.trial,
                clip_a=chosen["clip_a"],
                clip_b=chosen["clip_b"],
                rounds=chosen["rounds"],
                listeners=chosen["listeners"],
                by=self.by,
            )
        except ValidationError as error:
            self.add_error(None, error)
            return None


class InvitationForm(forms.Form):
    player = forms.ModelChoiceField(Player.objects.none(), label=gettext_lazy("who listens"))

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        players = cast("forms.ModelChoiceField", self.fields["player"])  # type: ignore[type-arg]
        players.queryset = Player.objects.live().filter(production=production)

    def try_ask(
        self, blind: BlindTrial, by: User, address: Callable[[str], str]
    ) -> invitations.NewLink | None:
        """The new link; None if the form has errors."""
        if not self.is_valid():
            return None
        try:
            return invitations.ask(
                blind=blind, player=self.cleaned_data["player"], by=by, address=address
            )
        except ValidationError as error:
            self.add_error(None if hasattr(error, "error_dict") else "player", error)
            return None


_TWO = (("first", gettext_lazy("First")), ("second", gettext_lazy("Second")))
# What is played in a round.
SOUNDS = (*_TWO, ("x", "X"))


class BlindAnswerForm(forms.Form):
    x = forms.ChoiceField(
        label=gettext_lazy("X is the same as"), choices=_TWO, widget=forms.RadioSelect
    )
    prefers = forms.ChoiceField(
        label=gettext_lazy("I like better"),
        choices=(("", gettext_lazy("neither")), *_TWO),
        widget=forms.RadioSelect,
        required=False,
        initial="",
    )
