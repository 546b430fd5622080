"""Forms of the handover: its words, a question, an answer."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.clock import now
from core.forms.base import EditForm
from core.models import Player, Production, User
from notes.handover.services import answerers
from notes.models import Answer, Handover, Question


class HandoverForm(EditForm):
    class Meta:
        model = Handover
        fields = ["opening", "cautions", "people"]
        labels = {"cautions": gettext_lazy("Cautions")}

    def save(self, commit: bool = True) -> Any:
        self.instance.changed_at = now()
        return super().save(commit=commit)


class AboutForm(forms.Form):
    """Which section something is about: a player's, or the general part."""

    player = forms.ModelChoiceField(
        Player.objects.none(),
        required=False,
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": gettext_lazy("This production has no such player.")},
    )

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        player = self.fields["player"]
        assert isinstance(player, forms.ModelChoiceField)  # noqa: S101 - declared so above
        player.queryset = Player.objects.filter(production=production)


class ReadForm(AboutForm):
    """That a section was read: `digest` is of what the reader's page said in it."""

    digest = forms.CharField(
        required=False, validators=[RegexValidator(r"\A[0-9a-f]{64}\Z")], widget=forms.HiddenInput
    )


class QuestionForm(AboutForm):
    words = forms.CharField(
        label=gettext_lazy("Your question"),
        max_length=Question._meta.get_field("words").max_length,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": gettext_lazy("Write the question first.")},
    )
    owed_by = forms.ChoiceField(
        required=False,
        label=gettext_lazy("Who should answer"),
        error_messages={
            "invalid_choice": gettext_lazy("Only an engineer, a tech or a player answers.")
        },
    )

    def __init__(
        self, *args: Any, production: Production, owing: Iterable[User] | None = None, **more: Any
    ) -> None:
        """`owing` is what services.answerers gives, fetched once for all forms of a page."""
        super().__init__(*args, production=production, **more)
        self._owing = {str(user.pk): user for user in owing or answerers(production)}
        owed_by = self.fields["owed_by"]
        assert isinstance(owed_by, forms.ChoiceField)  # noqa: S101 - declared so above
        names = ((pk, user.name) for pk, user in self._owing.items())
        owed_by.choices = [("", _("any engineer or tech")), *names]

    def clean_owed_by(self) -> User | None:
        return self._owing.get(self.cleaned_data["owed_by"])


class AnswerForm(forms.Form):
    words = forms.CharField(
        label=gettext_lazy("Your answer"),
        max_length=Answer._meta.get_field("words").max_length,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": gettext_lazy("Write the answer first.")},
    )
