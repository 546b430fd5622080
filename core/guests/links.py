"""Make, find, count and close links for guests. Each write is one transaction, with its history."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from typing import NamedTuple
from uuid import UUID

from django.contrib.auth.hashers import check_password, make_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core import clock
from core.access.accounts import is_closed
from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.languages.choice import as_stored
from core.languages.sentences import Sentences, day_retold, show_retold
from core.languages.words import each_of
from core.links import LinkClosed, digest_of, new_token
from core.models import GuestChange, GuestLink, GuestOpening, Membership, Production, Show, User
from core.places import SHARED, Shared
from core.services.link_mails import mail_link
from core.sign_in import tries

DAYS = 14  # where no show says when it is over
DAYS_AFTER = 1  # a show is not over at midnight
DAYS_MOST = 366
TRIES, TRIES_WITHIN = 8, timedelta(minutes=15)
HISTORY_DAYS = 30  # how long closed links stay on the list


class Says(Sentences):
    """What the history of links says."""

    SHARED = gettext_noop("Shared with {whom} until {day}: {title}.")
    WITH_WORD = gettext_noop("A word is asked for.")
    CLOSED = gettext_noop("The link for {whom} is closed.")
    LEFT = gettext_noop("{name} is not in the production any more: the link is closed.")


@GuestChange.told_by
def told_of(change: GuestChange) -> list[str]:
    """What happened to a link, in the language of the reader."""

    def title(words: str) -> str:
        return _title_retold(str(change.title) if words == "{title}" else words)

    return [Says.retold(each, day=day_retold, title=title) for each in change.words]


def _title_retold(title: str) -> str:
    """“Run sheet, 3 Dec 2026 · Winter Garden”, “Handover 2, Autumn”. The apps that share have the
    messages of these titles; one that none of them has stays."""
    what, _comma, rest = title.partition(", ")
    kind, _space, number = what.rpartition(" ")
    if number.isdecimal():
        message = f"{kind} {{number}}, {{leg}}"
        told = _(message)
        return told.format(number=number, leg=rest) if told != message else title
    for name in ("show", "leg"):
        message = f"{what}, {{{name}}}"
        if (told := _(message)) != message:
            return str(told.format(**{name: show_retold(rest)}))
    return title


class NewLink(NamedTuple):
    """A new link. Its address is known only now, because the database stores its digest alone."""

    link: GuestLink
    shared: Shared
    url: str


class TooManyTries(Exception):
    """Wrong words were typed too often; the link opens for nobody until some time has passed."""


def shared_of(
    production: Production, kind: str, subject: UUID, parts: Sequence[str] = ()
) -> Shared | None:
    """What such a link would show now; None for what is not there, or not of this production."""
    return SHARED.first(production, kind, subject, parts)


def until_by_default(production: Production, shared: Shared) -> date:
    """The last day of a link that nobody chose a day for: the one after the show it is about, else
    after the next show, else in a fortnight. One query where it is about no show."""
    today = timezone.localdate(clock.now())
    over = shared.over_on
    if over is None:
        coming = Show.objects.filter(
            leg__production=production, retired_at=None, held_on__gte=today
        ).order_by("held_on", "pk")
        over = coming.values_list("held_on", flat=True).first()
    if over is None or over < today:
        return today + timedelta(days=DAYS)
    return min(over + timedelta(days=DAYS_AFTER), today + timedelta(days=DAYS_MOST))


def end_of(day: date) -> datetime:
    """The first moment after that day, in the time zone of the service."""
    return timezone.make_aware(datetime.combine(day + timedelta(days=1), time()))


@transaction.atomic
def share(
    *,
    production: Production,
    kind: str,
    subject: UUID,
    by: User,
    for_whom: str,
    until: date,
    address: Callable[[str], str],
    parts: Sequence[str] = (),
    code: str = "",
    may_answer: bool = False,
    language: str = "",
) -> NewLink:
    """Make a link. `address(token)` is the full address that opens it.

    Raises ValidationError for what cannot be shared, and for a day that is over or too far off.
    """
    shared = shared_of(production, kind, subject, parts)
    if shared is None:
        raise ValidationError(_("There is nothing like that to share."))
    if unknown := set(parts) - {key for key, _ in shared.parts}:
        words = _("No such section: {names}.").format(names=each_of(sorted(unknown)))
        raise ValidationError({"parts": words})
    check_until(until)
    token = new_token()
    link = GuestLink.objects.create(
        production=production,
        digest=digest_of(token),
        kind=kind,
        subject=subject,
        parts=list(parts),
        for_whom=for_whom,
        code=make_password(code) if code else "",
        may_answer=may_answer,
        language=language,
        made_by=by,
        expires_at=end_of(until),
    )
    with as_stored():
        day = f"{until.day} {until:%b %Y}"
        titled = shared_of(production, kind, subject, parts) or shared
        said = Says.SHARED.said(whom="{whom}", day=day, title="{title}")
        _note(link, [said, *([Says.WITH_WORD.said()] if code else [])], by, title=titled.title)
    return NewLink(link, shared, address(token))


def mail_share(made: NewLink, email: str) -> bool:
    """Send the link to that address, which is not kept. False if that failed: the link works."""
    context = {"link": made.link, "shared": made.shared, "url": made.url}
    asks = made.link.may_answer and made.shared.asks is not None
    says = (
        gettext_lazy("{name} asks you for an answer: {title}")
        if asks
        else gettext_lazy("{name} shares something with you: {title}")
    )
    subject = format_lazy(says, name=made.link.made_by, title=made.shared.title)
    return mail_link(email, subject, "core/mail/shared.txt", context, made.link.language)


def check_until(until: date) -> None:
    """Raises ValidationError for a day on which no link may end."""
    today = timezone.localdate(clock.now())
    if until < today:
        raise ValidationError({"until": _("That day is over.")})
    if until > today + timedelta(days=DAYS_MOST):
        raise ValidationError({"until": _("A year is the longest. Make a new link then.")})


def still_open() -> Q:
    """Of links for guests those that open something. Who is no member any more shares nothing."""
    held = Membership.objects.filter(user=OuterRef("made_by"), production=OuterRef("production"))
    live = Q(withdrawn_at=None, expires_at__gt=clock.now(), made_by__is_active=True)
    return live & Q(Exists(held))


def look_up(token: str) -> GuestLink:
    """The open link of that token; changes nothing. Raises LinkClosed."""
    # Found by the digest of a random secret: how long that takes tells nothing about the secret.
    found = GuestLink.objects.filter(still_open(), digest=digest_of(token))
    link = found.select_related("production", "made_by").first()
    if link is None or is_closed(link.made_by.email):
        raise LinkClosed
    return link


def is_word(link: GuestLink, typed: str) -> bool:
    """Whether that is the word of the link. Raises TooManyTries, for the right word as well."""
    key = tries.key_of("word", str(link.pk))
    # A try is taken before it is looked at: many at once do not get more of them.
    if tries.used_up(key, most=TRIES, within=TRIES_WITHIN):
        raise TooManyTries
    right = check_password(typed.strip(), link.code)
    if right:
        tries.forget(key)
    return right


@transaction.atomic
def count_opening(link: GuestLink) -> None:
    """One more opening today."""
    today = timezone.localdate(clock.now())
    # Of two that are the first of a day, one makes the row and both count.
    GuestOpening.objects.bulk_create(
        [GuestOpening(link=link, day=today)],
        update_conflicts=True,
        unique_fields=["link", "day"],
        update_fields=["day"],
    )
    GuestOpening.objects.filter(link=link, day=today).update(count=F("count") + 1)


def links_for(member: Member, user: User) -> QuerySet[GuestLink]:
    """The links that a member may see and close: their own; for managers, all. With who made them
    and on which days they were opened. Two queries."""
    links = GuestLink.objects.filter(production=member.production)
    if not allowed(member.roles, Action.SEE_LINKS):
        links = links.filter(made_by=user)
    days = Prefetch("openings", GuestOpening.objects.order_by("-day"))
    return links.select_related("made_by").prefetch_related(days)


class Listed(NamedTuple):
    """A link as those who gave it out see it; `title` of what is not there any more is empty."""

    link: GuestLink
    title: str
    times: int  # it was opened
    days: list[GuestOpening]


def listed(links: QuerySet[GuestLink]) -> list[Listed]:
    """The links that are open, and those that ended of late, the newest first. A fixed number of
    queries for each different thing that is shared."""
    since = clock.now() - timedelta(days=HISTORY_DAYS)
    recent = links.filter(expires_at__gt=since).exclude(withdrawn_at__lte=since)
    titles: dict[tuple[str, UUID], str] = {}
    rows = []
    for link in recent.select_related("made_by", "production"):
        about = (link.kind, link.subject)
        if about not in titles:
            shared = shared_of(link.production, *about)
            titles[about] = shared.title if shared else ""
        days = list(link.openings.all())
        rows.append(Listed(link, titles[about], sum(day.count for day in days), days))
    return rows


@transaction.atomic
def withdraw(links: QuerySet[GuestLink], *, by: User | None, why: str = "") -> int:
    """Close those of `links` that are not closed yet; how many those were. Without `by` it is who
    runs the service, of whom the history of links knows nothing."""
    held = list(GuestLink.objects.select_for_update().filter(pk__in=links, withdrawn_at=None))
    GuestLink.objects.filter(pk__in=[link.pk for link in held]).update(withdrawn_at=clock.now())
    if by is None:
        return len(held)
    for link in held:
        with as_stored():
            closed = Says.CLOSED.said(whom="{whom}")
        _note(link, [why or closed], by)
    return len(held)


def _note(link: GuestLink, words: list[str], by: User, title: str = "") -> None:
    GuestChange(link=link, words=words, whom=link.for_whom, title=title).put_down(by)
