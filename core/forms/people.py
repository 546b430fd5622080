"""Forms to invite people, to join, and to choose the roles of a member."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.repeated import Repeated
from core.models import Player, Production, User
from core.models.roles import Role

ROLE_HELP = gettext_lazy(
    "Engineers and techs write rigs and notes; players write notes and sign for their sound; "
    "crew read, acknowledge and ask; managers invite people and keep the dates of the tour."
)


class RolesForm(forms.Form):
    """The roles of one person; for the role of player also which of the musicians it is."""

    roles = forms.MultipleChoiceField(
        label=gettext_lazy("Roles"),
        choices=Role.choices,
        widget=forms.CheckboxSelectMultiple,
        help_text=ROLE_HELP,
        error_messages={"required": gettext_lazy("Choose at least one role.")},
    )
    player = forms.ModelChoiceField(
        Player.objects.none(),
        required=False,
        label=gettext_lazy("which player"),
        empty_label=gettext_lazy("not one of them yet"),
        help_text=gettext_lazy("For the role of player only: whose rigs they may sign for."),
    )

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        # A retired player who is the present choice stays on offer: saving would else untie them.
        in_use = Q(retired_at=None) | Q(pk=self.initial.get("player"))
        field: Any = self.fields["player"]
        field.queryset = production.players.filter(in_use)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("player") and Role.PLAYER not in cleaned.get("roles", []):
            self.add_error("player", _("Tick the role “player” as well, or choose nobody here."))
        return cleaned


class MemberForm(RolesForm):
    # The roles there were when the form was opened, so that a stale one is noticed.
    seen = forms.CharField(required=False, widget=forms.HiddenInput)


class InviteForm(Repeated, RolesForm):
    # Whoever invites goes through the crew, then through the players.
    SAME_AGAIN = ("roles",)
    field_order = ("email", "roles", "player")

    email = forms.EmailField(
        label=gettext_lazy("e-mail"),
        required=False,
        help_text=gettext_lazy(
            "The link is sent there. Leave it empty to hand the link over yourself."
        ),
    )


def password_field() -> forms.CharField:
    """A password that is chosen, for an account that has none yet."""
    return forms.CharField(
        label=gettext_lazy("Password"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=gettext_lazy("At least 12 characters. Several words are good; not your name."),
    )


def check_password(password: str, person: User) -> str:
    """The password, if the rules allow it to `person`. Raises ValidationError."""
    password_validation.validate_password(password, person)
    return password


class JoinForm(forms.Form):
    """A new person's account, made while joining.

    Whether the address is free is for the service to say, in the transaction that takes it.
    """

    name = forms.CharField(
        label=gettext_lazy("your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    email = forms.EmailField(label=gettext_lazy("e-mail"), max_length=254)
    password = password_field()

    def clean_password(self) -> str:
        # The fields before it are cleaned by now.
        person = User(**{name: self.cleaned_data.get(name, "") for name in ("name", "email")})
        return check_password(self.cleaned_data["password"], person)
