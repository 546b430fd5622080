"""A person's key to the API. There is one at a time; a new one replaces it.

The database has its digest alone, in the place where the library keeps a key: who reads a backup
cannot use it.
"""

from __future__ import annotations

import hashlib
import secrets

from django.db import transaction
from django.utils.translation import gettext_lazy
from rest_framework.authtoken.models import Token

from core.models import User
from core.sign_in import notices

BYTES = 20


def digest(key: str) -> str:
    """What is kept of `key`: the first 160 bits of its SHA-256, 40 hexadecimal digits.

    A key is random, so it needs no salt and no slow digest; cut off from the left after NIST
    SP 800-107 Rev. 1, section 5.1.
    """
    return hashlib.sha256(key.encode()).hexdigest()[: 2 * BYTES]


def held(user: User) -> Token | None:
    """What is kept of the key that opens the API for `user` now, if any."""
    return Token.objects.filter(user=user).first()


@transaction.atomic
def make(user: User) -> str:
    """A new key, which can be told only now; one made before opens nothing any more."""
    Token.objects.filter(user=user).delete()
    notices.tell(
        user,
        gettext_lazy("A new API key"),
        gettext_lazy(
            "A key to the API was made for your account. A program with it can do all that you can."
        ),
    )
    key = secrets.token_hex(BYTES)
    Token.objects.create(user=user, key=digest(key))
    return key


def revoke(user: User) -> bool:
    """Delete the API key. False if there was none."""
    return Token.objects.filter(user=user).delete()[0] > 0
