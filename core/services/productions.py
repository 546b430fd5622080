"""Start a production."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from core.models import Membership, Production, User
from core.models.roles import Role


@transaction.atomic
def create_production(
    *, name: str, by: User, roles: Iterable[str] = (), about: str = ""
) -> Production:
    """A production with `by` in it, in the roles chosen and always as manager, too."""
    production = Production.objects.create(name=name, about=about)
    Membership.objects.bulk_create(
        Membership(production=production, user=by, role=role)
        for role in sorted({*map(Role, roles), Role.MANAGER})
    )
    return production
