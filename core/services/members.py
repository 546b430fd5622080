"""Who is in a production, and as what."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.utils.translation import gettext as _

from core.guests.links import Says, withdraw
from core.languages.choice import as_stored
from core.models import Membership, Player, Production, User
from core.models.roles import Role


class LastManager(Exception):
    """Somebody has to be able to invite people; the last one who can may not step down."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "This is the only production manager. Make somebody else manager first, "
                "so that the production can still invite people."
            )
        )


class NoRoles(Exception):
    """A member needs at least one role. To take somebody out there is `remove_member`."""

    def __init__(self) -> None:
        super().__init__(_("Choose at least one role, or remove the person from the production."))


class RolesChanged(Exception):
    """Somebody else changed the roles since they were looked at."""

    def __init__(self, now: set[str]) -> None:
        self.now = now
        words = _(", ").join(str(role.label) for role in Role if role in now) or _("none")
        super().__init__(
            _(
                "Someone else changed these roles meanwhile. Now they are: {words}. "
                "Save again to make them what you ticked."
            ).format(words=words)
        )


@transaction.atomic
def change_roles(
    *,
    production: Production,
    user: User,
    roles: Iterable[str],
    player: Player | None = None,
    seen: Iterable[str] | None = None,
) -> None:
    """Let `user` hold exactly `roles`; `player` says which musician somebody with that role is.

    `seen` are the roles the choice was based on. Raises NoRoles, LastManager, RolesChanged, and
    ValueError for a player of another production.
    """
    new_roles = set(map(Role, roles))
    if not new_roles:
        raise NoRoles
    _lock(production)
    now = set(production.memberships.filter(user=user).values_list("role", flat=True))
    if seen is not None and now != set(seen):
        raise RolesChanged(now)
    if Role.MANAGER not in new_roles:
        _refuse_if_last_manager(production, user)
    # Only roles that are given up: those that stay keep their `since`.
    production.memberships.filter(user=user).exclude(role__in=new_roles).delete()
    add_roles(production=production, user=user, roles=new_roles, player=player)


@transaction.atomic
def add_roles(
    *, production: Production, user: User, roles: Iterable[str], player: Player | None = None
) -> None:
    """Give `user` these roles besides those held already. ValueError for a foreign player."""
    if player is not None and player.production_id != production.pk:
        raise ValueError(_("That player belongs to another production."))
    for role in map(Role, roles):
        is_player = role == Role.PLAYER
        Membership.objects.update_or_create(
            production=production,
            user=user,
            role=role,
            defaults={"player": player} if is_player else {},
        )


@transaction.atomic
def remove_member(*, production: Production, user: User) -> None:
    """Take somebody out. What they wrote, changed and signed stays, under their name.

    Raises LastManager.
    """
    _lock(production)
    _refuse_if_last_manager(production, user)
    production.memberships.filter(user=user).delete()
    with as_stored():
        why = Says.LEFT.said(name="{name}")
    # What they gave out would else open again if they came back.
    withdraw(production.guest_links.filter(made_by=user), by=user, why=why)


def _lock(production: Production) -> None:
    # Two managers stepping down at once must not both see the other one still there.
    Production.objects.select_for_update().get(pk=production.pk)


def _refuse_if_last_manager(production: Production, user: User) -> None:
    managers = set(
        production.memberships.filter(role=Role.MANAGER).values_list("user_id", flat=True)
    )
    if managers == {user.pk}:
        raise LastManager
