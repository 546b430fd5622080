"""Forms of getting in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import User
from core.sign_in import codes
from core.sign_in.passkeys import NAME_MAX


def code_field(**more: Any) -> forms.CharField:
    return forms.CharField(
        max_length=60,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "one-time-code",
                "autocapitalize": "off",
                "spellcheck": "false",
            }
        ),
        **{"label": gettext_lazy("Code"), **more},
    )


OF_APP_OR_RECOVERY = gettext_lazy("Six digits from your app, or one of your recovery codes.")


class CodeForm(forms.Form):
    """A code of the app, or one of the recovery codes."""

    code = code_field(help_text=OF_APP_OR_RECOVERY)


class NewCodeForm(forms.Form):
    """The first code, which shows that the app has the secret."""

    code = code_field(
        label=gettext_lazy("code that the app shows"), help_text=gettext_lazy("Six digits.")
    )


class NewPasskeyForm(forms.Form):
    name = forms.CharField(
        max_length=NAME_MAX,
        label=gettext_lazy("what you call it"),
        help_text=gettext_lazy(
            "So that you know later which device it is on: “my phone”, “key on the ring”."
        ),
    )


class ConfirmForm(forms.Form):
    """It is still them: the password, and a code where there is a second factor."""

    password = forms.CharField(
        label=gettext_lazy("Password"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args: Any, request: HttpRequest, person: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request, self.person = request, person
        if codes.is_on(person):
            self.fields["code"] = code_field(help_text=OF_APP_OR_RECOVERY)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        # By the same way as a log-in, so that wrong ones are counted together.
        known = authenticate(self.request, username=self.person.email, password=cleaned["password"])
        if known != self.person:
            self.add_error("password", _("This is not your password."))
        elif "code" in self.fields:
            _check_code(self, self.person)
        return cleaned


def _check_code(form: forms.Form, person: User) -> None:
    try:
        if codes.check(person, form.cleaned_data["code"]) is None:
            form.add_error("code", NOT_RIGHT)
    except codes.TooMany as refused:
        form.add_error("code", ValidationError(str(refused)))


NOT_RIGHT = gettext_lazy(
    "This code is not right, or was used before. The app shows a new one twice a minute."
)
