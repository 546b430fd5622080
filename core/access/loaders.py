"""Find a person's production and roles. Outsiders learn nothing: they get 404."""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple
from uuid import UUID

from django.http import Http404
from django.utils.translation import gettext as _

from core.composed import Composed, column
from core.models import Membership, Player, Production, User
from core.models.roles import Role


class Member:
    """A person inside one production: their roles there, and the musician they are, if any."""

    def __init__(self, production: Production, memberships: list[Membership]) -> None:
        self.production = production
        self.roles = frozenset(m.role for m in memberships)
        self.role_names = [str(role.label) for role in Role if role in self.roles]
        self.player_ids = frozenset(m.player_id for m in memberships if m.player_id)


# Without their order, which is that of the names of people.
_held: Composed[Membership] = Composed(
    lambda user, production: (
        Membership.objects.filter(user=user, production=production)
        .select_related("production")
        .order_by()
    ),
    column(Membership, "user"),
    column(Membership, "production"),
)


def load_member(user: User, production: UUID) -> Member:
    """One query. Raises Http404 for an outsider and for a production that is not there."""
    memberships = _held(user.pk, production)
    # 404 and not 403: an outsider must not learn which productions there are.
    if not memberships:
        raise Http404(_("No such production."))
    return Member(memberships[0].production, memberships)


def load_members(user: User) -> list[Member]:
    """The person in each of their productions, by name of the production. One query."""
    held = defaultdict(list)
    rows = Membership.objects.filter(user=user).select_related("production")
    # By key, too: two productions may have the same name, and their rows must not alternate.
    for membership in rows.order_by("production__name", "production", "role"):
        held[membership.production].append(membership)
    return [Member(production, memberships) for production, memberships in held.items()]


class Person(NamedTuple):
    """Somebody in a production, as the list of people shows them."""

    user: User
    role_names: list[str]
    player: Player | None
    roles: frozenset[str] = frozenset()


def load_people(production: Production) -> list[Person]:
    """Everybody in the production, by name. One query."""
    held = defaultdict(list)
    rows = production.memberships.select_related("user", "player", "production")
    for membership in rows.order_by("user__name", "user", "role"):
        held[membership.user].append(membership)
    return [
        Person(
            user,
            Member(production, memberships).role_names,
            next((m.player for m in memberships if m.player), None),
            frozenset(m.role for m in memberships),
        )
        for user, memberships in held.items()
    ]
