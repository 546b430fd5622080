"""What to do first in a production where no rig is documented, and what of it is done."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Count, Q
from django.urls import reverse
from django.utils.translation import gettext as _

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.models import Leg, Production
from core.models.roles import Role
from core.places import FIRST_STEPS, Step


def first_steps(member: Member) -> list[Step]:
    """In the order of doing them; none where every app says that its part is there.

    A fixed number of queries, and two fewer where there are none.
    """
    further = [step for steps in FIRST_STEPS.call(member) for step in steps]
    return [*_own(member), *further] if further else []


def _own(member: Member) -> Iterator[Step]:
    place = member.production.pk
    counted = Production.objects.annotate(
        players_in_use=Count("players", filter=Q(players__retired_at=None), distinct=True),
        people=Count("memberships__user", distinct=True),
        invitations=Count("links", filter=Q(links__purpose="invitation"), distinct=True),
    ).get(pk=place)
    # The type checker knows nothing of annotated attributes.
    found: dict[str, int] = vars(counted)
    if allowed(member.roles, Action.EDIT_TOUR):
        url = reverse("core:players_several", args=[place])
        yield Step(_("Add the players"), bool(found["players_in_use"]), url)
    if allowed(member.roles, Action.INVITE):
        is_done = found["people"] > 1 or found["invitations"] > 0
        yield Step(_("Invite the others"), is_done, reverse("core:invite", args=[place]))
    if Role.PLAYER in member.roles:
        words = _("Be tied to your player, so that you can sign for your sound")
        yield Step(words, bool(member.player_ids), by=_("the production manager"))
    yield _tour(member)


def _tour(member: Member) -> Step:
    place = member.production.pk
    legs = Leg.objects.live().filter(production=place)
    shows = Count("shows", filter=Q(shows__retired_at=None))
    # A leg with shows comes first: one show anywhere is enough for the step to be done.
    leg = legs.annotate(shows_in_use=shows).order_by("-shows_in_use", "starts_on").first()
    if leg is None:
        url = reverse("core:leg_new", args=[place])
    else:
        url = reverse("core:show_new", args=[place, leg.pk])
    is_done = leg is not None and vars(leg)["shows_in_use"] > 0
    words = _("Enter the first show") if leg else _("Enter the tour: a leg and its first show")
    if allowed(member.roles, Action.EDIT_TOUR):
        return Step(words, is_done, url)
    return Step(words, is_done, by=_("the engineer, a tech or the production manager"))
