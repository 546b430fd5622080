"""Which passwords are refused, beside short ones. No rule asks for kinds of letters.

Refused is what is guessed first: a password that many have, one with something put behind it, and
words of the person or the service put together. The list of common ones is Django's, 20,000 from
known breaches; it lies on the server, so no password is asked about anywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

# Of this service and its trade. docs/security.md names them.
WORDS = (
    *("toneledger", "password", "passwort", "login", "admin", "manager", "welcome", "secret"),
    *("soundcheck", "backline", "engineer", "production", "frontofhouse", "monitor", "guitar"),
    *("drums", "stage", "microphone", "tour", "crew", "letmein", "changeme", "qwerty"),
)
# How many different characters have to be left of a password without such words.
LEFT = 7
FEWEST_LETTERS = 5  # that differ
_CLOTHES = re.compile(r"^[\W\d_]+|[\W\d_]+$")


class NotGuessedFirst:
    """A validator of Django's."""

    def __init__(self) -> None:
        self.common = CommonPasswordValidator().passwords

    def validate(self, password: str, user: Any = None) -> None:
        low = password.lower()
        if len(set(low)) < FEWEST_LETTERS:
            raise ValidationError(_("This password repeats itself: it is guessed early."))
        bare = _CLOTHES.sub("", low)
        is_most_of_it = 2 * len(bare) > len(low)
        if low in self.common or (is_most_of_it and bare in self.common):
            raise ValidationError(
                _("Many people have this password, or it is one of theirs with something added.")
            )
        left = _without(low, [*WORDS, *_own_words(user)])
        if left != low and len(set(left)) < LEFT:
            raise ValidationError(
                _("This password is made of your name, your address or words of this service.")
            )

    def get_help_text(self) -> str:
        return _("Not a password that many have, and not made of your name or e-mail address.")


def _own_words(user: Any) -> list[str]:
    said = f"{getattr(user, 'name', '')} {getattr(user, 'email', '')}".lower()
    return [word for word in re.split(r"[\W_]+", said) if len(word) > 2]


def _without(text: str, words: Iterable[str]) -> str:
    for word in sorted(set(words), key=len, reverse=True):
        text = text.replace(word, "")
    return text
