"""Ask a player to sign: a one-time link for one musician and one exact state of the rig."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import links
from core.models import OneTimeLink, User
from core.services.link_mails import mail_link
from notes.models import Clip, Party, SignOff, SignRequest
from notes.signing.services import lock_at, sign
from rigs.models import Revision, Rig

SIGNATURE = OneTimeLink.Purpose.SIGNATURE
DAYS = 14


class NewLink(NamedTuple):
    """A new link. Its address is known only now, because the database stores its digest alone."""

    request: SignRequest
    url: str


@transaction.atomic
def ask(
    *,
    rig: Rig,
    revision: int,
    by: User,
    address: Callable[[str], str],
    clip: Clip | None = None,
    language: str = "",
) -> NewLink:
    """Make the link for the rig's player; an earlier one that is still open is closed.

    `address(token)` is the full address that opens it; `clip` is played there and signed along;
    its page is in `language`, or in that of the browser.
    Raises MovedOn unless `revision` is the rig's newest, so that nobody asks for a signature under
    what they have not seen; ValidationError for a clip of another rig.
    """
    locked = lock_at(rig, revision)
    if clip is not None and clip.rig_id != locked.pk:
        raise ValidationError({"clip": _("This clip is of another rig.")})
    # One open link for a rig: an earlier one would sign an older state.
    _close(locked)
    link, token = links.make_link(
        production=locked.production,
        purpose=SIGNATURE,
        made_by=by,
        days=DAYS,
        language=language,
        details={"rig": str(locked.pk), "revision": revision, "player": str(locked.player_id)},
    )
    request = SignRequest.objects.create(
        link=link,
        rig=locked,
        player=locked.player,
        clip=clip,
        revision=Revision.objects.get(rig=locked, number=revision),
    )
    return NewLink(request, address(token))


def mail(made: NewLink, email: str) -> bool:
    """Send the link to that address, which is not kept. False if that failed: the link works."""
    asked = made.request
    subject = format_lazy(
        gettext_lazy("{made_by} asks you: is {rig} your sound?"),
        made_by=asked.link.made_by,
        rig=asked.rig,
    )
    context = {"asked": asked, "url": made.url}
    return mail_link(email, subject, "notes/mail/signature.txt", context, asked.link.language)


@transaction.atomic
def withdraw(*, rig: Rig) -> bool:
    """Close the open link to this rig. False if there is none: used, closed, or never made."""
    return _close(Rig.objects.select_for_update().get(pk=rig.pk))


def open_requests(at: datetime | None = None) -> QuerySet[SignRequest]:
    """Requests whose link nobody has used, withdrawn or let expire; now, or `at`."""
    return SignRequest.objects.filter(links.still_open("link__", at)).select_related(
        "link__made_by", "player", "revision"
    )


def look_up(token: str) -> SignRequest:
    """What the holder of the link is asked; changes nothing. Raises LinkClosed."""
    return _request_of(links.look_up(token, SIGNATURE))


@transaction.atomic
def answer(*, token: str, decision: str, words: str) -> SignOff:
    """Spend the link and sign, or neither. Raises LinkClosed, MovedOn, ValidationError."""
    request = look_up(token)
    # The rig first, as in `ask`: those who lock in the same order never wait in a ring.
    lock_at(request.rig, request.revision.number)
    links.spend(token, SIGNATURE)
    return sign(
        rig=request.rig,
        party=Party.PLAYER,
        decision=decision,
        words=words,
        player=request.player,
        revision=request.revision.number,
        clip=request.clip,
    )


def answered_with(token: str) -> SignOff:
    """What the holder of the link said with it, for as long as the link would have been open.
    Raises LinkClosed, also where nothing was said yet."""
    request = _request_of(links.look_up_used(token, SIGNATURE))
    said = SignOff.objects.filter(
        rig=request.rig, revision=request.revision, party=Party.PLAYER, player=request.player
    )
    made = said.select_related("revision", "rig__player", "rig__production", "player")
    # Whoever says the same again of the same state is on record since they said it first.
    last = made.order_by("-at", "-pk").first()
    if last is None:
        raise links.LinkClosed
    return last


def language_of(token: str) -> str:
    """That in which the page of a used link is read. Raises LinkClosed."""
    return links.look_up_used(token, SIGNATURE).language


def _request_of(link: OneTimeLink) -> SignRequest:
    rows = SignRequest.objects.select_related(
        "rig__player",
        "rig__production",
        "revision",
        "player",
        "link__made_by",
        "clip__input",
        "clip__sound",
    ).filter(link=link)
    request = rows.first()
    if request is None:
        raise links.LinkClosed
    return request


def _close(rig: Rig) -> bool:
    return links.withdraw(OneTimeLink.objects.filter(sign_request__rig=rig))
