"""Which party somebody signs as: their role says, and a player's only on their own rigs."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from core.models import Membership, User
from core.models.roles import Role
from notes.models import Party
from rigs.models import Rig

ROLE_OF: dict[Party, Role] = {
    Party.PLAYER: Role.PLAYER,
    Party.TECH: Role.TECH,
    Party.ENGINEER: Role.ENGINEER,
}


def parties_for(roles: Iterable[str], player_ids: Iterable[UUID], rig: Rig) -> list[Party]:
    """The parties that a member with `roles`, being the musicians `player_ids`, may sign as."""
    held, own = set(roles), rig.player_id in set(player_ids)
    return [
        party
        for party, role in ROLE_OF.items()
        if role in held and (party is not Party.PLAYER or own)
    ]


def parties_of(user: User, rig: Rig) -> list[Party]:
    """The parties that `user` may sign `rig` as. One query; empty for an outsider."""
    held = Membership.objects.filter(user=user, production=rig.production_id)
    rows = list(held.values_list("role", "player_id"))
    return parties_for((role for role, _ in rows), (own for _, own in rows if own), rig)
