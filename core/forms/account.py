"""Log in, and one's own account."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.access.accounts import CLOSED, is_closed
from core.models import User


class LogInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": gettext_lazy(
            "E-mail and password do not belong together. Mind capitals in the latter."
        ),
        "inactive": gettext_lazy("This account was closed."),
    }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["username"].label = _("e-mail")
        self.fields["username"].widget = forms.EmailInput(
            attrs={"autocomplete": "username webauthn", "autofocus": True, "maxlength": 254}
        )

    def get_invalid_login_error(self) -> ValidationError:
        email = str(self.cleaned_data.get("username"))
        # Tells nobody anything: the address of a demonstration account is public.
        return ValidationError(CLOSED) if is_closed(email) else super().get_invalid_login_error()

    def clean_username(self) -> str:
        # One account, one count of failed attempts, however it is capitalised.
        return str(self.cleaned_data["username"]).strip().lower()


class NewPasswordForm(PasswordChangeForm):
    def __init__(self, *args: Any, request: HttpRequest, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request = request

    def clean_old_password(self) -> str:
        old: str = self.cleaned_data["old_password"]
        # By the same way as a log-in, so that wrong ones are counted together.
        if authenticate(self.request, username=self.user.email, password=old) != self.user:
            raise ValidationError(self.error_messages["password_incorrect"], "password_incorrect")
        return old


class AccountForm(forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = User
        fields = ["name", "language", "temperature_scale", "mail_of_links"]
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
            "temperature_scale": forms.RadioSelect,
        }
        help_texts = {
            "name": gettext_lazy(
                "As it stands beside what you write, change and sign from now on."
            ),
            "temperature_scale": gettext_lazy(
                "How they are shown to you, and what a number without a unit is "
                "when you type one. Lengths keep the unit they were typed in."
            ),
            "mail_of_links": gettext_lazy(
                "One by which somebody signs, or hears a blind trial. Of log-ins "
                "from a new device, API keys, passkeys and passwords you are told in any case."
            ),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        # A page from before it was asked sends none: the scale stays what it is.
        self.fields["temperature_scale"].required = False
        self.fields["language"].choices = [  # type: ignore[attr-defined]
            ("", _("as the browser asks")),
            *settings.LANGUAGES,
        ]
