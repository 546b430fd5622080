"""Bring people into a production by a link that works once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock, links
from core.models import OneTimeLink, Player, Production, User
from core.models.roles import Role
from core.services.link_mails import mail_link
from core.services.members import NoRoles, add_roles

INVITATION = OneTimeLink.Purpose.INVITATION
DAYS = 14


class Invitation(NamedTuple):
    """A fresh invitation. The address is known only now: the database keeps its digest."""

    link: OneTimeLink
    url: str
    mailed: bool


class OpenInvitation(NamedTuple):
    """What an open link offers to whoever holds it."""

    link: OneTimeLink
    roles: list[Role]
    player: Player | None

    @property
    def role_names(self) -> list[str]:
        return [str(role.label) for role in self.roles]


class AddressTaken(Exception):
    """There is an account with that e-mail address; its owner has to log in."""

    def __init__(self) -> None:
        super().__init__(_("There is an account with this e-mail address. Log in to join with it."))


def invite(
    *,
    production: Production,
    roles: Iterable[str],
    by: User,
    address: Callable[[str], str],
    player: Player | None = None,
    email: str = "",
) -> Invitation:
    """Make the link and, if `email` is given, send it there.

    `address(token)` is the full address that opens it. A mail that cannot be sent does not undo
    the invitation: `mailed` is False and the link can be handed over in another way.
    Raises NoRoles.
    """
    chosen = [role for role in Role if role in set(roles)]
    if not chosen:
        raise NoRoles
    details = {
        "roles": chosen,
        "player": str(player.pk) if player and Role.PLAYER in chosen else None,
        "email": email,
    }
    return _sent(*_made(production, details, by), address)


def invite_again(
    *, production: Production, link: UUID, by: User, address: Callable[[str], str]
) -> Invitation:
    """A new link to the same in place of one that nobody used; that one opens nothing any more.

    One whose time ran out can be made again, too. It is mailed where the first one was. Raises
    LinkClosed if it was used or withdrawn, or never made.
    """
    with transaction.atomic():
        if not withdraw(production=production, link=link):
            raise links.LinkClosed(_("This invitation was used or withdrawn before."))
        details = production.links.get(pk=link).details
        made, token = _made(production, details, by)
    # After the block: a mail cannot be rolled back with it.
    return _sent(made, token, address)


def _made(production: Production, details: dict[str, Any], by: User) -> tuple[OneTimeLink, str]:
    return links.make_link(
        production=production, purpose=INVITATION, details=details, made_by=by, days=DAYS
    )


def _sent(link: OneTimeLink, token: str, address: Callable[[str], str]) -> Invitation:
    url, email = address(token), link.details["email"]
    return Invitation(link, url, bool(email) and _mailed(link, url, email))


def _mailed(link: OneTimeLink, url: str, email: str) -> bool:
    subject = format_lazy(
        gettext_lazy("{who} invites you to {production}"),
        who=link.made_by,
        production=link.production,
    )
    context = {"offer": offer_of(link), "url": url}
    return mail_link(email, subject, "core/mail/invitation.txt", context)


@transaction.atomic
def forget_addresses(*, days: int) -> int:
    """Drop the e-mail address of each invitation that was used or withdrawn, or that ended `days`
    ago; how many there were."""
    ended = Q(used_at__isnull=False) | Q(withdrawn_at__isnull=False)
    ended |= Q(expires_at__lt=clock.now() - timedelta(days=days))
    rows = OneTimeLink.objects.filter(ended, purpose=INVITATION).exclude(details__email="")
    gone = 0
    for link in rows.filter(details__has_key="email").select_for_update():
        link.details = {**link.details, "email": ""}
        link.save(update_fields=["details"])
        gone += 1
    return gone


def offer_of(link: OneTimeLink) -> OpenInvitation:
    player = link.details.get("player")
    return OpenInvitation(
        link,
        [Role(role) for role in link.details["roles"]],
        Player.objects.filter(pk=player, production=link.production_id).first() if player else None,
    )


def look_up(token: str) -> OpenInvitation:
    """What the link offers; changes nothing. Raises LinkClosed."""
    return offer_of(links.look_up(token, INVITATION))


@transaction.atomic
def accept_invitation(*, token: str, user: User) -> Production:
    """Spend the link: `user` joins, and keeps the roles held there already. Raises LinkClosed."""
    offer = offer_of(links.spend(token, INVITATION))
    production = offer.link.production
    add_roles(production=production, user=user, roles=offer.roles, player=offer.player)
    return production


@transaction.atomic
def accept_as_new_person(
    *, token: str, email: str, name: str, password: str
) -> tuple[User, Production]:
    """Spend the link and make the account that joins. Raises LinkClosed, AddressTaken."""
    if User.objects.filter(email__iexact=email.strip()).exists():
        raise AddressTaken
    try:
        with transaction.atomic():
            user = User.objects.create_user(email, name, password)
    except IntegrityError:  # the same person, twice at once
        raise AddressTaken from None
    return user, accept_invitation(token=token, user=user)


def open_invitations(production: Production) -> list[OpenInvitation]:
    """Invitations nobody has used yet, newest first, in two queries.

    Those whose time ran out are among them: they can be made again.
    """
    links = production.links.filter(
        purpose=INVITATION, used_at=None, withdrawn_at=None
    ).select_related("made_by", "production")
    players = production.players.in_bulk()
    by_text = {str(pk): player for pk, player in players.items()}
    return [
        OpenInvitation(
            link,
            [Role(r) for r in link.details["roles"]],
            by_text.get(link.details.get("player") or ""),
        )
        for link in links
    ]


def withdraw(*, production: Production, link: UUID) -> bool:
    """Close an unused invitation. False if there is none: used, closed before, or never made."""
    return links.withdraw(production.links.filter(pk=link, purpose=INVITATION))
