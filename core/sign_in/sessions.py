"""Sessions in the database, with whose they are, and under a digest of their key.

Two limits: `IDLE` without a request, and `SESSION_COOKIE_AGE` since the log-in, whatever happens.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends import db
from django.db.models import Q

from core import clock
from core.composed import Composed

IDLE = timedelta(days=30)
BY, DEVICE = "by", "device"  # in the data of a session


def digest_of(key: str) -> str:
    """What the database knows a session by: 160 bits, as long as its column."""
    return hashlib.sha256(key.encode()).hexdigest()[:40]


def _field(name: str) -> Callable[[], Any]:
    return lambda: SessionStore.get_model_class()._meta.get_field(name)


_open: Composed[Any] = Composed(
    lambda key, now, used_after, began_after: (
        SessionStore.get_model_class()
        .objects.select_related("user")
        .filter(
            session_key=key,
            expire_date__gt=now,
            used_at__gt=used_after,
            began_at__gt=began_after,
        )
        .order_by()
    ),
    *(_field(name) for name in ("session_key", "expire_date", "used_at", "began_at")),
)


# Its name is part of the salt of Django's signature: sessions of before can still be read.
class SessionStore(db.SessionStore):
    row: Any = None  # of the table, once it was read

    @classmethod
    def get_model_class(cls) -> Any:
        from core.models import LogIn

        return LogIn

    def _get_session_from_db(self) -> Any:
        now = clock.now()
        began_after = now - timedelta(seconds=settings.SESSION_COOKIE_AGE)
        found = _open(digest_of(self.session_key or ""), now, now - IDLE, began_after)
        self.row = found[0] if found else None
        if self.row is None:
            self._session_key = None
        return self.row

    def get_expiry_date(self, **more: Any) -> Any:
        # By the same clock as the limits above.
        return super().get_expiry_date(**{"modification": clock.now(), **more})

    def exists(self, session_key: str) -> bool:
        return super().exists(digest_of(session_key))

    def create_model_instance(self, data: dict[str, Any]) -> Any:
        made: Any = super().create_model_instance(data)
        made.session_key = digest_of(made.session_key)
        made.user_id = data.get(SESSION_KEY)
        made.by, made.device = data.get(BY, ""), data.get(DEVICE, "")
        return made

    def delete(self, session_key: str | None = None) -> None:
        key = session_key or self.session_key
        if key is not None:
            super().delete(digest_of(key))

    @classmethod
    def clear_expired(cls) -> None:
        cls.ended().delete()

    @classmethod
    def ended(cls) -> Any:
        """The rows of sessions that open nothing any more."""
        now = clock.now()
        ended = Q(expire_date__lt=now) | Q(used_at__lt=now - IDLE)
        return cls.get_model_class().objects.filter(ended)
