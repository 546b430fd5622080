"""Remind people by e-mail of what they have not read or answered: one mail each, once a day."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from smtplib import SMTPException

from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from core import clock
from core.access.loaders import Person
from core.languages.choice import language_for
from core.models import Leg, User
from core.text import one_line
from notes.handover.progress import Progress, PublishedSection, Reader, progress_of
from notes.handover.questions import owes, questions_of, unanswered
from notes.models import Handover, PublishedHandover, Question, Reminder

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class DueToPerson:
    """What waits for one person."""

    person: Person
    unread: list[PublishedSection]
    owed: list[Question]
    nobody_read: list[PublishedSection]  # told to whoever published it
    last: Reminder | None  # when they were last reminded

    @property
    def user(self) -> User:
        return self.person.user

    @property
    def was_today(self) -> bool:
        return self.last is not None and _day(self.last) == timezone.localdate(clock.now())

    def __bool__(self) -> bool:
        return bool(self.unread or self.owed or self.nobody_read)


@dataclass(frozen=True, slots=True)
class Outlook:
    """A leg's handover before the leg starts: how the reading goes, and who is late with what."""

    published: PublishedHandover
    progress: Progress
    unanswered: list[Question]
    due: list[DueToPerson]  # with something waiting, by name

    @property
    def days(self) -> int:
        """Until the leg starts; below 0 once it has."""
        return (self.published.handover.leg.starts_on - timezone.localdate(clock.now())).days


def outlook(published: PublishedHandover) -> Outlook:
    """`published` with production and handover's leg loaded. Six queries."""
    progress = progress_of(published)
    asked = questions_of(published.handover)
    waiting = unanswered(question for each in asked.values() for question in each)
    last: dict[object, Reminder] = {}
    # In order of time, so that the last one to each person stays.
    for reminder in published.handover.reminders.order_by("sent_at").select_related("sent_by"):
        last[reminder.user_id] = reminder
    due = [
        _due(reader, progress, waiting, last.get(reader.person.user.pk))
        for reader in progress.readers
    ]
    return Outlook(published, progress, waiting, [each for each in due if each])


def _due(
    reader: Reader, progress: Progress, waiting: Iterable[Question], last: Reminder | None
) -> DueToPerson:
    person = reader.person
    published = progress.published
    published_it = published is not None and person.user.pk == published.published_by_id
    return DueToPerson(
        person,
        reader.unread if reader.is_addressee else [],
        [question for question in waiting if owes(question, person.user.pk, person.roles)],
        progress.unread_by_all if published_it else [],
        last,
    )


@dataclass(slots=True)
class Sent:
    """What came of a round of reminders: names of people, by what happened."""

    to: list[str] = field(default_factory=list)
    not_again: list[str] = field(default_factory=list)  # reminded today already
    failed: list[str] = field(default_factory=list)  # the mail server did not take it


def remind(
    published: PublishedHandover, *, by: User | None, base: str, again: bool = False
) -> Sent:
    """Send each their own items, unless they were reminded today (`again`: nevertheless).

    `base` is the beginning of addresses, as https://notebook.example. Whoever is to be reminded is
    put on record first, so that two who press at once send one mail; a mail that could not be sent
    is taken off the record again.
    """
    sent = Sent()
    for due, reminder in _claim(published, by, again, sent):
        try:
            _mail(published, due, base).send()
        except (OSError, SMTPException):
            # The error names the address, which the log in JSON leaves out of tracebacks.
            log.warning("A reminder could not be sent.", exc_info=True)
            # Or the person would count as reminded today and be passed over.
            reminder.delete()
            sent.failed.append(due.user.name)
        else:
            sent.to.append(due.user.name)
    return sent


@transaction.atomic
def _claim(
    published: PublishedHandover, by: User | None, again: bool, sent: Sent
) -> list[tuple[DueToPerson, Reminder]]:
    # Whoever else reminds waits here, and then sees who was.
    Handover.objects.select_for_update().get(pk=published.handover_id)
    claimed = []
    for due in outlook(published).due:
        if due.was_today and not again:
            sent.not_again.append(due.user.name)
            continue
        reminder = Reminder.objects.create(
            handover_id=published.handover_id,
            user=due.user,
            sent_by=by,
            sent_at=clock.now(),
            sections=len(due.unread),
            questions=len(due.owed),
        )
        claimed.append((due, reminder))
    return claimed


def _mail(published: PublishedHandover, due: DueToPerson, base: str) -> EmailMessage:
    leg = published.handover.leg
    page = f"{base}{published.get_absolute_url()}"
    overview = base + reverse("notes:reminders", args=[published.production_id, leg.pk])
    days = (leg.starts_on - timezone.localdate(clock.now())).days
    context = {
        "published": published,
        "leg": leg,
        "due": due,
        "page": page,
        "overview": overview,
        "days": days,
    }
    with translation.override(language_for(due.user)):
        body = render_to_string("notes/handover/mail/reminder.txt", context)
        subject = _("{production}: {published} for {leg}").format(
            production=published.production, published=published, leg=leg
        )
    # A line break in a name would begin another header of the mail.
    subject = one_line(subject)
    return EmailMessage(subject, body, to=[due.user.email])


def _day(reminder: Reminder) -> object:
    return timezone.localdate(reminder.sent_at)


def legs_to_remind(within_days: int) -> list[Leg]:
    """Legs of every production that start within so many days, today included."""
    today = timezone.localdate(clock.now())
    legs = Leg.objects.live().filter(
        starts_on__gte=today, starts_on__lte=today + timedelta(days=within_days)
    )
    return list(legs.order_by("starts_on", "pk"))
