"""The first person of a new server: an account without a password, and a link that sets it up.

The link is a signed token of Django's, as for a forgotten password: nothing of it is stored, it
ends with its first use and after PASSWORD_RESET_TIMEOUT. A new link closes the one before, because
the token holds what stands in place of the password, and that is drawn anew.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple
from uuid import UUID

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode
from django.utils.translation import gettext as _

from core.access.accounts import of_people
from core.links import LinkClosed
from core.models import Production, User
from core.services.productions import create_production


class _Tokens(PasswordResetTokenGenerator):
    key_salt = "core.services.first_person"


tokens = _Tokens()
_UNUSABLE = Q(password__startswith=UNUSABLE_PASSWORD_PREFIX)


class SetUpLink(NamedTuple):
    """Whose account it sets up, and the path that does."""

    person: User
    path: str


def is_anybody_here() -> bool:
    """Whether somebody other than the demonstration's people has an account with a password."""
    return of_people().exclude(_UNUSABLE).exists()


def first_person_waiting() -> User | None:
    """Whoever was to be the first, and has not set a password yet."""
    return _waiting().order_by("joined_at").first()


@transaction.atomic
def make_first_person(*, name: str, email: str) -> User:
    """An account that may administer the service and has no password yet.

    Raises ValidationError where name or e-mail will not do, or the address has an account.
    """
    return User.objects.create_user(email, name, is_staff=True, is_superuser=True)


@transaction.atomic
def make_link(person: User) -> SetUpLink:
    """A new link for somebody without a password; one made before opens nothing any more.

    Raises ValidationError for an account that has a password.
    """
    locked = User.objects.select_for_update().get(pk=person.pk)
    if locked.has_usable_password():
        raise ValidationError(
            _(
                "{email} has a password. Whoever forgot it sets a new one from the log-in page."
            ).format(email=locked.email)
        )
    # Draws a new random text, on which the token depends: the link made before fails its check.
    locked.set_unusable_password()
    locked.save(update_fields=["password"])
    key = urlsafe_base64_encode(force_bytes(str(locked.pk)))
    return SetUpLink(locked, reverse("core:set_up", args=[key, tokens.make_token(locked)]))


def look_up(key: str, token: str) -> User:
    """Whose account the link sets up; changes nothing. Raises LinkClosed."""
    return _checked(_waiting(), key, token)


@transaction.atomic
def set_up(
    *, key: str, token: str, password: str, production: str = "", roles: Iterable[str] = ()
) -> tuple[User, Production | None]:
    """Spend the link: the account gets its password and, if it is named, starts a production.

    Raises LinkClosed.
    """
    # Locked: of two who send the form at once, the second finds a password and is refused.
    person = _checked(_waiting().select_for_update(), key, token)
    person.set_password(password)
    person.save(update_fields=["password"])
    if not production:
        return person, None
    return person, create_production(name=production, by=person, roles=roles)


def _waiting() -> QuerySet[User]:
    return of_people().filter(_UNUSABLE, is_superuser=True, is_active=True)


def _checked(people: QuerySet[User], key: str, token: str) -> User:
    try:
        person = people.filter(pk=UUID(urlsafe_base64_decode(key).decode())).first()
    except ValueError:  # no key that was ever made
        person = None
    if person is None or not tokens.check_token(person, token):
        raise LinkClosed(_("This link is closed: it was used, replaced, or its time ran out."))
    return person
