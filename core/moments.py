"""When something was written, and when it arrived.

A form may wait on a device until there is a network. With it come three headers: `Written-At`, when
its author pressed the button; `Sent-At`, what the same clock said when it was sent; `Page-Made`,
the moment at which this server made the page with the form, signed by it. Between two readings of
one clock lies the time it waited, however wrong that clock is. What was written cannot be older
than its page nor younger than its arrival; a moment outside is doubted, kept beside, and the
arrival counts in its place.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core import signing
from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from core import clock
from core.holding import holding

AT_ONCE = timedelta(seconds=30)  # whatever arrives sooner has not waited
# Between the server's clock when the page was made and the device's readings lie two ways through
# the network, and a device may set its clock right meanwhile.
TOLERANCE = timedelta(seconds=5)
_signer = signing.Signer(salt="core.offline.page")


@dataclass(frozen=True, slots=True)
class Moment:
    """When something was written. Moments are aware, in UTC.

    `at` is what records and histories go by. `arrived_at` is None for what was sent at once.
    `device_said` is a moment that was not believed; `at` is the arrival then. `page_at` is when the
    page was made that it was written on, if that is known.
    """

    at: datetime
    page_at: datetime | None = None
    arrived_at: datetime | None = None
    device_said: datetime | None = None

    def values(self, name: str) -> dict[str, datetime | None]:
        """For the columns of a core.models.base.OfflineTimes whose own moment is in `name`."""
        waited = self.arrived_at is not None
        return {
            name: self.at,
            "page_at": self.page_at if waited else None,
            "arrived_at": self.arrived_at,
            "device_said": self.device_said,
        }


# A context variable, so that services far below a view need no argument for it, and threads and
# tasks do not see each other's.
_current: ContextVar[Moment | None] = ContextVar("written", default=None)


def written() -> Moment:
    """The moment of what is being carried out; the present where nothing else is known."""
    return _current.get() or Moment(clock.now())


def written_as(moment: Moment) -> AbstractContextManager[None]:
    """Let `written` be `moment` in this context."""
    return holding(_current, moment)


def page_stamp(made: datetime) -> str:
    """The moment at which a page was made, signed so that no device can change it."""
    return _signer.sign(made.isoformat())


def moment_of(request: HttpRequest) -> Moment:
    """When the form of `request` was written, by its headers as far as they can be true."""
    arrived, page = clock.now(), _page_of(request.headers.get("Page-Made", ""))
    stated = _read(request.headers.get("Written-At", ""))
    if stated is None:
        return Moment(arrived, page)
    sent = _read(request.headers.get("Sent-At", ""))
    # The device's clock, set right by its own reading when this was sent.
    at = stated if sent is None else stated + (arrived - sent)
    # Without the signed stamp of a page nothing bounds what a device may claim, so nothing is
    # believed.
    is_possible = page is not None and page - TOLERANCE <= at <= arrived + TOLERANCE
    if not is_possible:
        return Moment(arrived, page, arrived, stated if sent is None else at)
    # Seconds in the network are no waiting: the record is dated by one clock, the server's.
    if arrived - at < AT_ONCE:
        return Moment(arrived, page)
    return Moment(at, page, arrived)


def _page_of(stamp: str) -> datetime | None:
    try:
        return _read(_signer.unsign(stamp))
    except signing.BadSignature:
        return None


def _read(text: str) -> datetime | None:
    """ISO 8601 with its offset; None for anything else."""
    try:
        moment = parse_datetime(text)
    except ValueError:
        return None
    return moment if moment is not None and timezone.is_aware(moment) else None


def stamp_of(request: Any) -> str:
    """The stamp of the page that answers `request`: of its beginning, before anything was read."""
    return page_stamp(getattr(request, "begun_at", None) or clock.now())
