"""What is said when signing: yes, or not yet and why."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.choice import NAMES
from notes.comparing.evidence import to_choose_from
from notes.comparing.forms import ClipChoice
from notes.models import Party, SignOff
from rigs.models import Rig

Decision = SignOff.Decision


class SignOffForm(forms.Form):
    """One of the two things that can be said about a rig; a page shows one form for each."""

    words = forms.CharField(
        required=False,
        max_length=SignOff._meta.get_field("words").max_length,
        widget=forms.Textarea(attrs={"rows": 3}),
        label=gettext_lazy("Words"),
    )

    def __init__(self, *args: Any, decision: str, **more: Any) -> None:
        # Two of these forms stand on one page, and ids must not repeat.
        more.setdefault("auto_id", f"{decision}-%s")
        super().__init__(*args, **more)
        self.decision = decision
        withheld = decision == Decision.WITHHELD
        self.fields["words"].label = (
            _("Not yet, because …") if withheld else _("Anything to add, or a wish")
        )
        if withheld:
            self.fields["words"].required = True
            self.fields["words"].error_messages["required"] = _(
                "Say what is missing, so that somebody can do it."
            )


class MemberSignOffForm(SignOffForm):
    """The form of a member, who may sign as more than one party."""

    party = forms.ChoiceField(label=gettext_lazy("You sign as"), widget=forms.RadioSelect)
    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    field_order = ("party", "clip", "words", "revision")

    def __init__(self, *args: Any, parties: list[Party], rig: Rig, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.decision == Decision.SIGNED:
            offer_clip(self, rig)
            self.order_fields(self.field_order)
        party = self.fields["party"]
        assert isinstance(party, forms.ChoiceField)  # noqa: S101 - declared so above
        party.choices = [(each.value, each.label) for each in parties]
        if len(parties) == 1:
            # With one party there is nothing to choose.
            party.widget = forms.HiddenInput()
            self.initial["party"] = parties[0].value


class PassOnForm(forms.Form):
    """In which language a link for a player comes, and where it is mailed to."""

    language = forms.ChoiceField(
        label=gettext_lazy("Language"),
        required=False,
        choices=lambda: [("", _("that of their browser")), *NAMES.items()],
        help_text=gettext_lazy("In which they read it first; they can choose another."),
    )
    email = forms.EmailField(
        label=gettext_lazy("Send it by mail to"),
        required=False,
        help_text=gettext_lazy("If you like. The address is used for this one mail and not kept."),
    )


class AskForm(PassOnForm):
    """Which state the asker has seen, and what the player is to hear."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=1)

    def __init__(self, *args: Any, rig: Rig, **more: Any) -> None:
        super().__init__(*args, **more)
        offer_clip(self, rig)


def offer_clip(form: forms.Form, rig: Rig) -> None:
    """A field for the clip that is signed along, where the rig has any."""
    clips = to_choose_from(rig)
    if clips.exists():
        form.fields["clip"] = ClipChoice(
            queryset=clips,
            required=False,
            label=_("a clip of it"),
            help_text=_("What it sounds like: heard and signed along with the settings."),
        )
