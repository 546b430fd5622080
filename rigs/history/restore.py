"""Restore an earlier state that somebody has looked at first."""

from __future__ import annotations

from types import MappingProxyType

from django.db import transaction
from django.utils.translation import gettext as _

from core.models import User
from rigs.changes.reasons import Reason
from rigs.models import Revision, Rig
from rigs.revisions.record import restore
from rigs.revisions.swaps import Decided


class ChangedSince(Exception):
    """The rig is no longer as it was when its differences were shown. Nothing was written."""


def restore_as_shown(
    rig: Rig,
    number: int,
    *,
    seen: int,
    author: User,
    reason: Reason,
    decided: Decided = MappingProxyType({}),
) -> Revision | None:
    """Restore revision `number` of `rig`, whose newest was `seen` when it was looked at, but for
    what was `decided` on inputs that get another device.

    None if it is so already. Raises ChangedSince, and what the gateway raises.
    """
    with transaction.atomic():
        # Locked until the restoring is written, so that no change can slip in after the comparison.
        locked = Rig.objects.select_for_update().get(pk=rig.pk)
        if locked.head_number != seen:
            raise ChangedSince(
                _("Someone else changed this rig meanwhile. Below is what would change now.")
            )
        return restore(locked, number, author=author, reason=reason, decided=decided)
