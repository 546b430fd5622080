"""Passkeys (W3C Web Authentication): made by a device, asked for at the log-in, removed.

A challenge is remembered in the session and counts once. The device has to know its holder, by a
finger, a face or a code of its own: so a passkey is two factors by itself, and no code is asked.
"""

from __future__ import annotations

import json
import time
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.http import HttpRequest
from django.utils.translation import gettext as _
from webauthn import (
    generate_authentication_options,
    generate_registration_options,
    verify_authentication_response,
    verify_registration_response,
)
from webauthn.helpers import base64url_to_bytes, bytes_to_base64url
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.options_to_json_dict import options_to_json_dict
from webauthn.helpers.structs import (
    AuthenticatorSelectionCriteria,
    AuthenticatorTransport,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from core import clock
from core.access.accounts import Accounts
from core.models import Passkey, User

MOST = 20  # of one person
NAME_MAX = 60
ANSWER_MAX = 20_000  # letters of what a browser sends
CHALLENGE_LASTS_S = 60 * 60  # a log-in page may stay open for a while
_ASKED = "passkey_asked"
_TRANSPORTS = {each.value for each in AuthenticatorTransport}


class NotTaken(Exception):
    """A sentence for whoever tried."""


class _Asked(NamedTuple):
    challenge: str
    host: str
    origin: str
    what: str
    at: float


def to_make(request: HttpRequest, person: User) -> dict[str, Any]:
    """What a browser needs to make a passkey, as JSON. Raises NotTaken with too many."""
    held = list(person.passkeys.all())
    if len(held) >= MOST:
        raise NotTaken(_("You have {n} passkeys. Remove one first.").format(n=MOST))
    host, origin = _place(request)
    options = generate_registration_options(
        rp_id=host,
        rp_name="Toneledger",
        user_id=person.pk.bytes,  # random, so it says nothing about who it is
        user_name=person.email,
        user_display_name=person.name,
        authenticator_selection=AuthenticatorSelectionCriteria(
            resident_key=ResidentKeyRequirement.REQUIRED,
            user_verification=UserVerificationRequirement.REQUIRED,
        ),
        exclude_credentials=[_described(each) for each in held],
    )
    _remember(request, options.challenge, host, origin, "make")
    return options_to_json_dict(options)


def make(request: HttpRequest, person: User, answer: str, name: str) -> Passkey:
    """Keep the passkey that a device made. Raises NotTaken."""
    asked = _asked(request, "make")
    try:
        made = verify_registration_response(
            credential=_read(answer),
            expected_challenge=base64url_to_bytes(asked.challenge),
            expected_rp_id=asked.host,
            expected_origin=asked.origin,
            require_user_verification=True,
        )
    except (WebAuthnException, ValueError) as refused:
        raise NotTaken(_("This passkey was not taken. Try again.")) from refused
    try:
        with transaction.atomic():
            return Passkey.objects.create(
                user=person,
                name=name,
                credential_id=bytes_to_base64url(made.credential_id),
                public_key=made.credential_public_key,
                sign_count=made.sign_count,
                transports=_transports(answer),
            )
    except IntegrityError:
        raise NotTaken(_("This passkey is known already.")) from None


def to_get(request: HttpRequest, what: str = "log_in") -> dict[str, Any]:
    """What a browser needs to ask for a passkey of this service, whosever it is, as JSON."""
    host, origin = _place(request)
    options = generate_authentication_options(
        rp_id=host, user_verification=UserVerificationRequirement.REQUIRED
    )
    _remember(request, options.challenge, host, origin, what)
    return options_to_json_dict(options)


def whose(request: HttpRequest, answer: str, what: str = "log_in") -> User:
    """Whose passkey answered. Raises NotTaken; closed accounts stay out."""
    asked = _asked(request, what)
    credential = _read(answer)
    passkey = (
        Passkey.objects.select_related("user")
        .filter(credential_id=str(credential.get("id", "")))
        .first()
    )
    if passkey is None:
        raise NotTaken(
            _("This passkey is not known here: it was removed, or is of another service.")
        )
    try:
        checked = verify_authentication_response(
            credential=credential,
            expected_challenge=base64url_to_bytes(asked.challenge),
            expected_rp_id=asked.host,
            expected_origin=asked.origin,
            credential_public_key=bytes(passkey.public_key),
            credential_current_sign_count=passkey.sign_count,
            require_user_verification=True,
        )
    except (WebAuthnException, ValueError) as refused:
        raise NotTaken(_("This passkey was not taken. Try again.")) from refused
    if _handle(credential) not in (b"", passkey.user.pk.bytes):
        raise NotTaken(_("This passkey is of somebody else."))
    if not Accounts().user_can_authenticate(passkey.user):
        raise NotTaken(_("This account was closed."))
    # In one UPDATE: of two answers with one count, one counts. Zero stays zero (section 6.1.1).
    count = checked.new_sign_count
    fresh = Passkey.objects.filter(Q(sign_count__lt=count) | Q(sign_count=0), pk=passkey.pk)
    if not fresh.update(sign_count=count, used_at=clock.now()):
        raise NotTaken(_("This passkey was used elsewhere meanwhile. Try again."))
    return passkey.user


def remove(person: User, passkey: Any) -> str | None:
    """The name of the passkey that opens nothing any more; None if there is none of that id."""
    found = person.passkeys.filter(pk=passkey).first()
    if found is None:
        return None
    found.delete()
    return found.name


def _place(request: HttpRequest) -> tuple[str, str]:
    """The host that passkeys belong to, and the origin that a browser will name."""
    own = f"{request.scheme}://{request.get_host()}"
    # Behind a proxy that gives itself another name, the browser's is one that forms trust.
    said = request.headers.get("Origin", "")
    origin = said if said in settings.CSRF_TRUSTED_ORIGINS else own
    return urlsplit(origin).hostname or "", origin


def _remember(request: HttpRequest, challenge: bytes, host: str, origin: str, what: str) -> None:
    asked = _Asked(bytes_to_base64url(challenge), host, origin, what, time.time())
    request.session[_ASKED] = list(asked)


def _asked(request: HttpRequest, what: str) -> _Asked:
    """What was asked last, which counts once. Raises NotTaken."""
    found = request.session.pop(_ASKED, None)
    asked = _Asked(*found) if found else None
    if asked is None or asked.what != what or time.time() - asked.at > CHALLENGE_LASTS_S:
        raise NotTaken(_("That took too long. Try again."))
    return asked


def _read(answer: str) -> dict[str, Any]:
    try:
        read = json.loads(answer) if len(answer) <= ANSWER_MAX else None
    except ValueError:
        read = None
    if not isinstance(read, dict) or not isinstance(read.get("response"), dict):
        raise NotTaken(_("The browser sent no passkey. Try again."))
    return read


def _handle(credential: dict[str, Any]) -> bytes:
    said = credential["response"].get("userHandle")
    try:
        return base64url_to_bytes(said) if isinstance(said, str) else b""
    except ValueError:
        return b"unreadable"


def _transports(answer: str) -> list[str]:
    said = _read(answer)["response"].get("transports")
    return sorted(_TRANSPORTS & {str(each) for each in said}) if isinstance(said, list) else []


def _described(passkey: Passkey) -> PublicKeyCredentialDescriptor:
    return PublicKeyCredentialDescriptor(
        id=base64url_to_bytes(passkey.credential_id),
        transports=[AuthenticatorTransport(each) for each in passkey.transports],
    )
