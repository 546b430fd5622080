"""The second factor: codes of an app, which change every 30 seconds (RFC 6238), and recovery codes.

The secret of the codes has to be read to check one, so it is sealed with a key that is derived
from the secret key of the service and is not in the database. Recovery codes are only compared, so
their digests are enough: each has 150 random bits.
"""

from __future__ import annotations

import base64
import hashlib
import secrets
from collections.abc import Iterator
from datetime import timedelta

import pyotp
from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings
from django.db import transaction
from django.utils.crypto import constant_time_compare
from django.utils.translation import gettext as _

from core import clock
from core.models import LogIn, RecoveryCode, SecondFactor, User
from core.operation import log_ins
from core.sign_in import tries

STEP_S = 30
# The code that is shown, and the one before it, for whoever types while it changes (RFC 6238,
# section 5.2, recommends at most one).
BACK = 1
MOST, WITHIN = 5, timedelta(minutes=15)
RECOVERY_CODES = 10
_LETTERS = "abcdefghijklmnopqrstuvwxyz234567"  # RFC 4648, section 6
_GROUPS, _GROUP = 6, 5


class TooMany(Exception):
    """Codes were tried too often."""

    def __init__(self) -> None:
        super().__init__(
            _("Too many codes were tried. Wait {n} minutes, then try again.").format(
                n=WITHIN.seconds // 60
            )
        )


def new_secret() -> str:
    """160 random bits in base 32, as RFC 4226, section 4, recommends."""
    return pyotp.random_base32()


def seal(secret: str) -> str:
    return _fernet().encrypt(secret.encode()).decode()


def unseal(sealed: str) -> str | None:
    """None where the service has another secret key than it was sealed with."""
    try:
        return _fernet().decrypt(sealed.encode()).decode()
    except InvalidToken:
        return None


def address_for_app(secret: str, person: User) -> str:
    """What the app reads from a QR code (the `otpauth` scheme, as apps in general know it)."""
    return pyotp.TOTP(secret, interval=STEP_S).provisioning_uri(
        name=person.email, issuer_name="Toneledger"
    )


def factor_of(person: User) -> SecondFactor | None:
    return SecondFactor.objects.filter(user=person).first()


def is_on(person: User) -> bool:
    return factor_of(person) is not None


def matching_step(secret: str, code: str) -> int | None:
    """Which step of 30 seconds the code belongs to; None where it is not of now."""
    now = int(clock.now().timestamp()) // STEP_S
    app = pyotp.TOTP(secret, interval=STEP_S)
    typed = "".join(code.split())
    for step in range(now, max(0, now - BACK) - 1, -1):
        if constant_time_compare(app.generate_otp(step), typed):
            return step
    return None


@transaction.atomic
def turn_on(person: User, secret: str, code: str) -> list[str] | None:
    """The recovery codes, to be shown once; None where the code does not fit the secret."""
    step = matching_step(secret, code)
    if step is None:
        return None
    SecondFactor.objects.update_or_create(
        user=person,
        defaults={"sealed": seal(secret), "last_step": step, "made_at": clock.now()},
    )
    return new_recovery_codes(person)


@transaction.atomic
def turn_off(person: User) -> bool:
    """False if it was not on."""
    RecoveryCode.objects.filter(user=person).delete()
    return SecondFactor.objects.filter(user=person).delete()[0] > 0


@transaction.atomic
def new_recovery_codes(person: User) -> list[str]:
    """Ten new ones; those of before open nothing any more."""
    RecoveryCode.objects.filter(user=person).delete()
    made = [_recovery_code() for _ in range(RECOVERY_CODES)]
    RecoveryCode.objects.bulk_create(
        RecoveryCode(user=person, digest=_digest(code)) for code in made
    )
    return made


def check(person: User, code: str) -> LogIn.By | None:
    """How the code lets `person` in; None if it does not. Each code counts once.

    Raises TooMany.
    """
    key = tries.key_of("code", str(person.pk))
    if tries.used_up(key, most=MOST, within=WITHIN):
        log_ins.refused("locked_out")
        raise TooMany
    by = _by_app(person, code) or _by_recovery(person, code)
    if by:
        tries.forget(key)
    else:
        log_ins.refused("code")
    return by


def _by_app(person: User, code: str) -> LogIn.By | None:
    factor = factor_of(person)
    secret = unseal(factor.sealed) if factor else None
    step = matching_step(secret, code) if secret else None
    if step is None:
        return None
    # One UPDATE with its condition: of two requests with the same code, one gets in.
    fresh = SecondFactor.objects.filter(user=person, last_step__lt=step)
    return LogIn.By.CODE if fresh.update(last_step=step) else None


def _by_recovery(person: User, code: str) -> LogIn.By | None:
    spent, _ = RecoveryCode.objects.filter(user=person, digest=_digest(code)).delete()
    return LogIn.By.RECOVERY if spent else None


def _recovery_code() -> str:
    groups = ("".join(secrets.choice(_LETTERS) for _ in range(_GROUP)) for _ in range(_GROUPS))
    return "-".join(groups)


def _digest(code: str) -> str:
    return hashlib.sha256("".join(c for c in code.lower() if c.isalnum()).encode()).hexdigest()


def _fernet() -> MultiFernet:
    return MultiFernet([Fernet(key) for key in _keys()])


def _keys() -> Iterator[bytes]:
    for secret in map(str, (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)):
        derived = HKDF(SHA256(), 32, salt=None, info=b"core.sign_in.codes")
        yield base64.urlsafe_b64encode(derived.derive(secret.encode()))
