"""What waits because of published handovers: sections to read, and sections that nobody read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core import clock
from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.models import Leg, Membership, User
from core.places import ToDo
from notes.handover.progress import Readings, is_addressee, parts_of
from notes.models import PublishedHandover

Roles = Mapping[UUID, frozenset[str]]  # by user


def reading_to_dos(
    user: User,
    members: Sequence[Member],
    legs: Sequence[Leg],
    published: Mapping[UUID, Sequence[PublishedHandover]],
) -> dict[UUID, list[ToDo]]:
    """What waits to be read, by production. `published` is what was, of each leg, the newest last.

    Two queries; none where nothing is published.
    """
    if not published:
        return {}
    newest = {leg: rows[-1] for leg, rows in published.items()}
    readings = Readings(newest.values(), every=chain.from_iterable(published.values()))
    people = _people({leg.production_id for leg in legs})
    by_production: dict[UUID, list[ToDo]] = defaultdict(list)
    for member in members:
        place = member.production.pk
        for leg in legs:
            if leg.production_id == place and leg.pk in newest:
                here = newest[leg.pk]
                by_production[place] += _mine(user, member, leg, here, readings)
                by_production[place] += _nobodys(member, leg, here, readings, people[place])
    return dict(by_production)


def _people(productions: Iterable[UUID]) -> dict[UUID, Roles]:
    held: dict[UUID, dict[UUID, frozenset[str]]] = defaultdict(dict)
    rows = Membership.objects.filter(production__in=list(productions)).order_by()
    for place, user, role in rows.values_list("production", "user", "role"):
        held[place][user] = held[place].get(user, frozenset()) | {role}
    # A production without members has nobody to wait for, and no key.
    return defaultdict(dict, held)


def _mine(
    user: User, member: Member, leg: Leg, published: PublishedHandover, readings: Readings
) -> Iterable[ToDo]:
    if not is_addressee(published, user.pk, member.roles):
        return
    parts = parts_of(published)
    left = sum(not readings.cell(published, user.pk, part).is_read for part in parts)
    if left:
        words = _("{n} of {sections} sections to read of {published} for {leg}").format(
            n=left, sections=len(parts), published=published, leg=leg
        )
        yield ToDo(words, published.get_absolute_url(), "book-open")


def _nobodys(
    member: Member, leg: Leg, published: PublishedHandover, readings: Readings, people: Roles
) -> Iterable[ToDo]:
    """Sections that nobody has read, for those who may remind, until the leg starts."""
    days = (leg.starts_on - clock.now().date()).days
    # Once the leg has begun, a reminder is too late to be worth a line.
    if days < 0 or not allowed(member.roles, Action.REMIND):
        return
    addressees = [user for user, roles in people.items() if is_addressee(published, user, roles)]
    unread = [
        part
        for part in parts_of(published)
        if not any(readings.cell(published, user, part).is_read for user in addressees)
    ]
    if unread and addressees:
        words = ngettext(
            "Nobody has read {n} section of {published}; {leg} starts {when}",
            "Nobody has read {n} sections of {published}; {leg} starts {when}",
            len(unread),
        ).format(n=len(unread), published=published, leg=leg, when=in_days(days))
        url = reverse("notes:reminders", args=[leg.production_id, leg.pk])
        yield ToDo(words, url, "bell")


def in_days(days: int) -> str:
    """“today”, “tomorrow”, “in 5 days”; “3 days ago” for what has begun."""
    near = {-1: _("yesterday"), 0: _("today"), 1: _("tomorrow")}
    if days in near:
        return near[days]
    if days < 0:
        return ngettext("{n} day ago", "{n} days ago", -days).format(n=-days)
    return ngettext("in {n} day", "in {n} days", days).format(n=days)
