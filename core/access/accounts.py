"""Which accounts may be used on this server.

The accounts of the demonstration have a password that everybody can read. They are recognised by
their e-mail address: no real one can end in “.example” (RFC 2606, section 2).
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from contextvars import ContextVar
from typing import Any

from django.conf import settings
from django.contrib.auth.backends import ModelBackend
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy
from rest_framework.authentication import TokenAuthentication
from rest_framework.exceptions import AuthenticationFailed

from core.holding import holding
from core.models import User
from core.operation import log_ins
from core.services import tokens

DEMONSTRATION = "@ninefold.example"
CLOSED = gettext_lazy(
    "This account belongs to the demonstration. Its password is public, so it is closed on a "
    "server that runs in production mode."
)


def of_people() -> QuerySet[User]:
    """Every account that is not the demonstration's."""
    return User.objects.exclude(email__endswith=DEMONSTRATION)


def is_closed(email: str) -> bool:
    """Whether an account with that address, if there is one, may not be used on this server."""
    return not settings.LOCAL and email.strip().lower().endswith(DEMONSTRATION)


_read: ContextVar[User | None] = ContextVar("person_already_read", default=None)


def already_read(person: User | None) -> AbstractContextManager[None]:
    """Let `Accounts` take `person` instead of reading them again, if they are asked for."""
    return holding(_read, person)


class Accounts(ModelBackend):
    """Refuse a closed account at the log-in, and in every session it still has."""

    def get_user(self, user_id: Any) -> Any:
        person = _read.get()
        if person is None or person.pk != user_id:
            return super().get_user(user_id)
        return person if self.user_can_authenticate(person) else None

    def user_can_authenticate(self, user: Any) -> bool:
        return super().user_can_authenticate(user) and not is_closed(user.email)


class ApiKeys(TokenAuthentication):
    """Refuse the API key of a closed account, and count keys that are none."""

    def authenticate_credentials(self, key: str) -> Any:
        # After the key was found valid: a wrong key must not learn whether an account is closed.
        try:
            user, token = super().authenticate_credentials(tokens.digest(key))
        except AuthenticationFailed:
            log_ins.refused("api_key")
            raise
        if is_closed(user.email):
            log_ins.refused("api_key")
            raise AuthenticationFailed(CLOSED)
        return user, token
