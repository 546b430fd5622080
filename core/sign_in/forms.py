"""Forms of getting in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.http import HttpRequest

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
        **more,
    )


class CodeForm(forms.Form):
    """A code of the app, or one of the recovery codes."""

    code = code_field(help_text="Six digits from your app, or one of your recovery codes.")


class NewCodeForm(forms.Form):
    """The first code, which shows that the app has the secret."""

    code = code_field(label="code that the app shows", help_text="Six digits.")


class NewPasskeyForm(forms.Form):
    name = forms.CharField(
        max_length=NAME_MAX,
        label="what you call it",
        help_text="So that you know later which device it is on: “my phone”, “key on the ring”.",
    )


class ConfirmForm(forms.Form):
    """It is still them: the password, and a code where there is a second factor."""

    password = forms.CharField(
        strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )

    def __init__(self, *args: Any, request: HttpRequest, person: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request, self.person = request, person
        if codes.is_on(person):
            self.fields["code"] = code_field(
                help_text="Six digits from your app, or one of your recovery codes."
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        # By the same way as a log-in, so that wrong ones are counted together.
        known = authenticate(self.request, username=self.person.email, password=cleaned["password"])
        if known != self.person:
            self.add_error("password", "This is not your password.")
        elif "code" in self.fields:
            _check_code(self, self.person)
        return cleaned


def _check_code(form: forms.Form, person: User) -> None:
    try:
        if codes.check(person, form.cleaned_data["code"]) is None:
            form.add_error("code", NOT_RIGHT)
    except codes.TooMany as refused:
        form.add_error("code", ValidationError(str(refused)))


NOT_RIGHT = "This code is not right, or was used before. The app shows a new one twice a minute."
