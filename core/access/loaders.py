"""Find a person's production and roles. Outsiders learn nothing: they get 404."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404

from core.models import Membership, Production, User


class Member:
    """A person inside one production: their roles there, and the musician they are, if any."""

    def __init__(self, production: Production, memberships: list[Membership]) -> None:
        self.production = production
        self.roles = frozenset(m.role for m in memberships)
        self.player_ids = frozenset(m.player_id for m in memberships if m.player_id)


def load_member(user: User, production: UUID) -> Member:
    """One query. Raises Http404 for an outsider and for a production that is not there."""
    memberships = list(
        Membership.objects.filter(user=user, production=production).select_related("production")
    )
    if not memberships:
        raise Http404("No such production.")
    return Member(memberships[0].production, memberships)
