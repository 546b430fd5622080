"""Ask a player without an account to listen blind: a one-time link for one musician and one trial.

It draws and seals the listener's order as for members, opens that one sitting until its last
answer, and then nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core import links
from core.models import OneTimeLink, Player, User
from notes.blind import services
from notes.models import BlindInvitation, BlindSitting, BlindTrial

LISTENING = OneTimeLink.Purpose.BLIND
DAYS = 14


class NewLink(NamedTuple):
    """A new link. Its address is known only now, because the database stores its digest alone."""

    invitation: BlindInvitation
    url: str


@transaction.atomic
def ask(*, blind: BlindTrial, player: Player, by: User, address: Callable[[str], str]) -> NewLink:
    """Make the link for a musician; an earlier one that is still open is closed, and a sitting that
    was begun goes on under the new one. `address(token)` is the full address that opens it.

    Raises ValidationError where the musician cannot begin.
    """
    locked = BlindTrial.objects.select_for_update().get(pk=blind.pk)
    if player.production_id != locked.production_id:
        raise ValidationError({"player": _("This production has no such musician.")})
    mine = BlindSitting.objects.filter(blind=locked, player=player).first()
    if mine is None:
        services.check_may_begin(locked, player)
    elif mine.answers.count() >= len(mine.order):
        raise ValidationError(
            {"player": _("{player} has listened to the end.").format(player=player)}
        )
    links.withdraw(
        OneTimeLink.objects.filter(blind_invitation__blind=locked, blind_invitation__player=player)
    )
    link, token = links.make_link(
        production=locked.production,
        purpose=LISTENING,
        made_by=by,
        days=DAYS,
        language=player.language,
        details={"blind": str(locked.pk), "player": str(player.pk)},
    )
    made = BlindInvitation.objects.create(link=link, blind=locked, player=player)
    return NewLink(made, address(token))


def look_up(token: str) -> BlindInvitation:
    """What the holder of the link is to hear; changes nothing. Raises LinkClosed."""
    link = links.look_up(token, LISTENING)
    rows = BlindInvitation.objects.select_related(
        "player",
        "link__made_by",
        "blind__production",
        "blind__trial__input",
        "blind__clip_a__sound",
        "blind__clip_b__sound",
    )
    found = rows.filter(link=link).first()
    if found is None or not found.blind.is_open:
        raise links.LinkClosed
    return found


def sitting_of(invitation: BlindInvitation) -> BlindSitting | None:
    """The sitting that was begun with the link, with its trial and clips as they were looked up."""
    sitting = BlindSitting.objects.filter(
        blind=invitation.blind_id, player=invitation.player_id
    ).first()
    if sitting is not None:
        sitting.blind = invitation.blind
    return sitting


@transaction.atomic
def begin(token: str) -> BlindSitting:
    """Draw and seal the order, if there is none yet. Raises LinkClosed, ValidationError."""
    asked = look_up(token)
    return services.begin(blind=asked.blind, by=asked.player)


@transaction.atomic
def answer(token: str, *, number: int, x: str, prefers: str = "") -> BlindSitting:
    """Take the answer to a round; the last one spends the link.

    Raises LinkClosed, and ValidationError as `services.answer` does.
    """
    sitting = sitting_of(look_up(token))
    if sitting is None:
        raise ValidationError(_("Begin first: the order is drawn then."))
    services.answer(sitting=sitting, number=number, x=x, prefers=prefers)
    if sitting.answers.count() >= len(sitting.order):
        links.spend(token, LISTENING)
    return sitting
