"""A person's key to the API. There is one at a time; a new one replaces it."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext_lazy
from rest_framework.authtoken.models import Token

from core.models import User
from core.sign_in import notices


def held(user: User) -> Token | None:
    """The key that opens the API for `user` now, if any."""
    return Token.objects.filter(user=user).first()


@transaction.atomic
def make(user: User) -> Token:
    """A new key; one made before opens nothing any more."""
    Token.objects.filter(user=user).delete()
    notices.tell(
        user,
        gettext_lazy("A new API key"),
        gettext_lazy(
            "A key to the API was made for your account. A program with it can do all that you can."
        ),
    )
    return Token.objects.create(user=user)


def revoke(user: User) -> bool:
    """Delete the API key. False if there was none."""
    return Token.objects.filter(user=user).delete()[0] > 0
