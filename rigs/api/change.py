"""The gateway for the API: its refusals become answers that a program can read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import status

from core.api.errors import ApiError
from core.models import User
from rigs.api.serializers import TheirsSerializer, head_of
from rigs.changes.edits import WHOLE, Clash, Edit
from rigs.changes.reasons import Reason, ReasonRequired
from rigs.models import ChangeRow, Revision, Rig
from rigs.revisions.read import NoSuchRevision
from rigs.revisions.record import Conflict, record
from rigs.revisions.swaps import SwapUndecided
from rigs.swaps import Swap


def change(
    rig: Rig, edits: Iterable[Edit], *, author: User, base: int, reason: Reason
) -> Revision | None:
    """Like `record`; raises ApiError for a conflict, a missing reason, a swap that leaves something
    undecided, and an unknown base."""
    try:
        return record(rig, edits, author=author, base=base, reason=reason)
    except Conflict as conflict:
        raise _conflict(conflict) from None
    except ReasonRequired as error:
        changes = [{"part": c.part, "kind": c.kind, "field": c.field} for c in error.changes]
        raise ApiError(
            status.HTTP_400_BAD_REQUEST, "reason_required", str(error), changes=changes
        ) from None
    except SwapUndecided as undecided:
        raise ApiError(
            status.HTTP_400_BAD_REQUEST,
            "swap_undecided",
            " ".join(undecided.messages),
            swaps=[_undecided(swap) for swap in undecided.swaps],
        ) from None
    except NoSuchRevision as error:
        raise ApiError(
            status.HTTP_400_BAD_REQUEST, "no_such_base", str(error), fields={"base": [str(error)]}
        ) from None


def _undecided(swap: Swap) -> dict[str, Any]:
    doubts = [{**doubt._asdict(), "safe": doubt.value} for doubt in swap.doubts]
    return {"part": swap.part, "before": swap.before, "after": swap.after, "doubts": doubts}


def _conflict(conflict: Conflict) -> ApiError:
    return ApiError(
        status.HTTP_409_CONFLICT,
        "conflict",
        str(conflict),
        head=head_of(conflict.rig),
        clashes=[_both_sides(conflict.rig, clash) for clash in conflict.clashes],
    )


def _both_sides(rig: Rig, clash: Clash) -> dict[str, Any]:
    names = ("part", "kind", "field", "base", "now", "typed")
    values = {name: getattr(clash, name) for name in names}
    return values | {"theirs": TheirsSerializer(_newest(rig, clash)).data}


def _newest(rig: Rig, clash: Clash) -> Revision:
    """The change that set what stands there now."""
    rows = ChangeRow.objects.filter(revision__rig=rig, part=clash.part)
    if clash.field != WHOLE:
        # A part that was added or retired whole has set all its fields at once.
        rows = rows.filter(field__in=[clash.field, WHOLE])
    return rows.select_related("revision").order_by("-pk")[0].revision
