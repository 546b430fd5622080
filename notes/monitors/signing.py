"""A player signs one exact version of a mix, by account or by a one-time link."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.db.models import F, QuerySet, Window
from django.db.models.functions import RowNumber
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock, links
from core.models import OneTimeLink, Player, User
from core.personal.commitments import committed_in
from core.personal.fields import stored
from core.services.link_mails import mail_link
from notes.models import MixSignOff, MixSignRequest, MixVersion, MonitorMix, SignOff
from notes.monitors.services import MixNow, lock
from notes.monitors.state import MixState
from notes.signing.requests import DAYS
from notes.signing.services import checked_words
from notes.signing.states import PartyStatus
from rigs.changes import chain
from rigs.revisions.writer import iso

PURPOSE = OneTimeLink.Purpose.MIX_SIGNATURE
Decision = SignOff.Decision
NOBODY = gettext_lazy("A mix of a position has no player who could sign it.")
# From 2 on, name and words are references to salted commitments.
FORMAT = 2


class MixMovedOn(Exception):
    """The mix is no longer what the page showed: nothing was signed, nothing was asked."""

    def __init__(self, mix: MonitorMix, shown: int) -> None:
        self.mix, self.shown = mix, shown
        super().__init__(_("Someone changed it since you opened this page."))


class NewMixLink(NamedTuple):
    """A new link. Its address is known only now, because the database stores its digest alone."""

    request: MixSignRequest
    url: str


@dataclass(frozen=True, slots=True)
class MixStatus:
    """Where a mix stands with its player. Derived here, never stored."""

    state: PartyStatus
    last: MixSignOff | None = None
    request: MixSignRequest | None = None
    signed: MixState | None = None  # what the player's last word was about


def statuses(mixes: Sequence[MixNow]) -> dict[UUID, MixStatus]:
    """Where each stands. Two queries, however many mixes."""
    ids = [each.mix.pk for each in mixes]
    newest = Window(
        RowNumber(), partition_by=[F("mix_id")], order_by=[F("at").desc(), F("pk").desc()]
    )
    rows = MixSignOff.objects.filter(mix__in=ids).annotate(nth=newest).filter(nth=1)
    last = {each.mix_id: each for each in rows.select_related("version").order_by()}
    asked = {each.mix_id: each for each in open_requests().filter(mix__in=ids)}
    return {
        each.mix.pk: _status(each, last.get(each.mix.pk), asked.get(each.mix.pk)) for each in mixes
    }


def _status(now: MixNow, last: MixSignOff | None, asked: MixSignRequest | None) -> MixStatus:
    if last is None or last.player_id != now.mix.player_id:
        state = PartyStatus.ASKED if asked else PartyStatus.NOT_ASKED
        return MixStatus(state, None, asked)
    signed = MixState.from_plain(last.version.state)
    if last.decision == Decision.WITHHELD:
        return MixStatus(PartyStatus.WITHHELD, last, asked, signed)
    same = signed.sounds_like(now.state)
    return MixStatus(PartyStatus.SIGNED if same else PartyStatus.CHANGED, last, asked, signed)


def open_requests(at: datetime | None = None) -> QuerySet[MixSignRequest]:
    return MixSignRequest.objects.filter(links.still_open("link__", at)).select_related(
        "link__made_by", "player", "version"
    )


def may_sign(mix: MonitorMix, player_ids: Iterable[UUID]) -> bool:
    return mix.player_id is not None and mix.player_id in set(player_ids)


@transaction.atomic
def sign(
    *,
    mix: MonitorMix,
    version: int,
    decision: str,
    words: str = "",
    player: Player | None,
    user: User | None = None,
) -> MixSignOff:
    """Put on record what `player` says of `version` of their mix; `user` is their account, if any.

    Saying the same again of the same version returns what is on record. Raises MixMovedOn unless
    `version` is the newest, ValidationError for a withheld signature without words,
    PermissionDenied for somebody else's mix.
    """
    words = checked_words(decision, words)
    held = lock_at(mix, version)
    if player is None or held.player_id != player.pk:
        raise PermissionDenied(_("A player signs their own mixes only."))
    made = MixSignOff(
        mix=held,
        version=MixVersion.objects.get(mix=held, number=version),
        decision=decision,
        words=words,
        player=player,
        user=user,
    )
    last = MixSignOff.objects.filter(mix=held).order_by("-at", "-pk").first()
    same = ("version_id", "decision", "words", "player_id", "user_id")
    if last and all(getattr(last, name) == getattr(made, name) for name in same):
        return last
    made.version_digest = made.version.digest
    made.name, made.at = user.name if user else str(player), clock.now()
    made.seal = seal_of(made)
    made.save(force_insert=True)
    return made


def seal_of(made: MixSignOff) -> str:
    """SHA-256, in hex, over the canonical JSON (RFC 8785) of all that a sign-off says."""
    name = stored(made, "name")
    content: dict[str, Any] = {
        "format": 1 if committed_in(name) is None else FORMAT,
        "id": str(made.pk),
        "mix": str(made.mix_id),
        "number": made.version.number,
        "version": made.version_digest,
        "decision": str(made.decision),
        "words": stored(made, "words"),
        "player": str(made.player_id),
        "user": str(made.user_id) if made.user_id else None,
        "name": name,
        "at": iso(made.at),
    }
    return chain.digest(content)


def lock_at(mix: MonitorMix, version: int) -> MonitorMix:
    """The mix, held until the transaction ends, if `version` is still its newest."""
    held = lock(mix)
    if held.version != version:
        raise MixMovedOn(held, version)
    return held


@transaction.atomic
def ask(
    *,
    mix: MonitorMix,
    version: int,
    by: User,
    address: Callable[[str], str],
    language: str = "",
) -> NewMixLink:
    """Make the link for the player of the mix; an earlier one that is still open is closed. Its
    page is in `language`, or in that of the browser.

    Raises MixMovedOn unless `version` is the newest, ValidationError for a mix without a player.
    """
    held = lock_at(mix, version)
    if held.player is None:
        raise ValidationError(NOBODY)
    _close(held)
    link, token = links.make_link(
        production=held.production,
        purpose=PURPOSE,
        made_by=by,
        days=DAYS,
        language=language,
        details={"mix": str(held.pk), "version": version, "player": str(held.player_id)},
    )
    request = MixSignRequest.objects.create(
        link=link,
        mix=held,
        player=held.player,
        version=MixVersion.objects.get(mix=held, number=version),
    )
    return NewMixLink(request, address(token))


def mail(made: NewMixLink, email: str) -> bool:
    """Send the link to that address, which is not kept. False if that failed: the link works."""
    asked = made.request
    subject = format_lazy(
        gettext_lazy("{made_by} asks you: is {mix} your mix?"),
        made_by=asked.link.made_by,
        mix=asked.mix,
    )
    context = {"asked": asked, "url": made.url}
    language = asked.link.language
    return mail_link(email, subject, "notes/mail/mix_signature.txt", context, language)


@transaction.atomic
def withdraw(mix: MonitorMix) -> bool:
    """Close the open link. False if there is none."""
    return _close(mix)


def look_up(token: str) -> MixSignRequest:
    """What the holder of the link is asked; changes nothing. Raises LinkClosed."""
    rows = MixSignRequest.objects.select_related(
        "mix__player", "mix__production", "version", "player", "link__made_by"
    )
    request = rows.filter(link=links.look_up(token, PURPOSE)).first()
    if request is None or request.mix.is_retired:
        raise links.LinkClosed
    return request


@transaction.atomic
def answer(*, token: str, decision: str, words: str) -> MixSignOff:
    """Spend the link and sign, or neither. Raises LinkClosed, MixMovedOn, ValidationError."""
    request = look_up(token)
    lock_at(request.mix, request.version.number)
    links.spend(token, PURPOSE)
    return sign(
        mix=request.mix,
        version=request.version.number,
        decision=decision,
        words=words,
        player=request.player,
    )


def answered_with(token: str) -> tuple[MixSignOff, str]:
    """What the holder of the link said with it, and in which language its page is read, for as long
    as the link would have been open. Raises LinkClosed, also where nothing was said yet."""
    link = links.look_up_used(token, PURPOSE)
    request = MixSignRequest.objects.filter(link=link).first()
    if request is None:
        raise links.LinkClosed
    said = MixSignOff.objects.filter(
        mix=request.mix_id, version=request.version_id, player=request.player_id
    )
    made = said.select_related("mix__production", "version", "player")
    # Whoever says the same again of the same version is on record since they said it first.
    last = made.order_by("-at", "-pk").first()
    if last is None:
        raise links.LinkClosed
    return last, link.language


def _close(mix: MonitorMix) -> bool:
    return links.withdraw(OneTimeLink.objects.filter(mix_sign_request__mix=mix))
