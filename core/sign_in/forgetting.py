"""What is kept of log-ins goes when it is of no more use. Run by `manage.py forget_log_ins`."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.db import transaction

from core import clock
from core.models import KnownDevice, LogIn, Passkey, RecoveryCode, SecondFactor, Tries, User
from core.sign_in.devices import LASTS_S
from core.sign_in.sessions import SessionStore

# Long enough to look into what somebody reports; an address and a name stand in these.
RECORDS = timedelta(days=30)
TRIES = timedelta(days=1)


@transaction.atomic
def forget() -> int:
    """Delete sessions that ended, devices not seen for as long as their cookie lives, counts of
    tries, and records of log-ins; how many rows."""
    now = clock.now()
    old: list[Any] = [
        SessionStore.ended(),
        KnownDevice.objects.filter(used_at__lt=now - timedelta(seconds=LASTS_S)),
        Tries.objects.filter(since__lt=now - TRIES),
        *(
            records.objects.filter(attempt_time__lt=now - RECORDS)
            for records in (AccessAttempt, AccessFailureLog, AccessLog)
        ),
    ]
    return sum(rows.delete()[0] for rows in old)


def forget_person(person: User) -> None:
    """Delete all that is kept of how `person` got in: log-ins, refused ones, keys, devices."""
    for of_axes in (AccessAttempt, AccessFailureLog, AccessLog):
        of_axes.objects.filter(username__iexact=person.email).delete()
    for own in (LogIn, Passkey, SecondFactor, RecoveryCode, KnownDevice):
        own.objects.filter(user=person).delete()
