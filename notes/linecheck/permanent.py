"""Make a substitute of one show permanent: a change of the rig, with the reason stated there."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy

from core.models import Show, User
from notes.linecheck.services import lock
from notes.models import LineCheckMark
from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.lists.input_list import DayInput, Differing
from rigs.models import Input, Revision, ShowInput
from rigs.revisions.record import record
from rigs.revisions.swaps import swap_of
from rigs.shows.services import check_live, differ, row_of
from rigs.swaps import Swap

# What belongs to the device goes with it. The channel, the stand, the box and the filter of one
# day are that day's.
WITH_DEVICE = {row.key: row for row in ShowInput.ROWS if row.with_device}
NO_SUBSTITUTE = gettext_lazy(
    "This input has no substitute any more, so there is nothing to make permanent."
)
RETIRED_DEVICE = gettext_lazy("This microphone or DI is retired. Restore it before a rig uses it.")


def what_changes(day: DayInput) -> list[Differing]:
    """The cells that would become the rig's own; none where nothing stands in."""
    if not day.is_substituted:
        return []
    return [cell for cell in day.differs if cell.key in WITH_DEVICE]


def _of_the_day(day: DayInput) -> dict[str, Any]:
    rows = [WITH_DEVICE[cell.key] for cell in what_changes(day)]
    fields = {name: getattr(day.entry, name) for row in rows for name in row.stored}
    return {**fields, "device": str(day.entry.device_id)} if fields else {}


def doubtful(day: DayInput) -> list[Swap]:
    """What the show took from the list though it was set for the device of the list."""
    return swap_of(day.listed, **_of_the_day(day))


@transaction.atomic
def make_permanent(
    show: Show,
    entry: Input,
    *,
    by: User,
    base: int,
    words: str,
    decided: Mapping[str, Any] = MappingProxyType({}),
) -> Revision | None:
    """Record what stands in at `show` as a change of the rig, reason and all; None if the rig has
    it already. What the rig then has is no difference of the show any more.

    `base` is the number of the rig's change that the page showed; `decided` says what becomes of
    phantom power, pad and gain where the show took them from the list. Raises Conflict,
    ReasonRequired (without words), SwapUndecided, ValidationError. Who may is Action.EDIT_RIG.
    """
    held = lock(show)
    check_live(held, entry)
    day = row_of(held, entry)
    cells = what_changes(day)
    if not cells or day.difference is None or day.entry.device is None:
        raise ValidationError(NO_SUBSTITUTE)
    if day.entry.device.is_retired:
        raise ValidationError(RETIRED_DEVICE)
    fields = _of_the_day(day)
    revision = record(
        entry.rig,
        [Set(str(entry.pk), "input", {**fields, **decided})],
        author=by,
        base=base,
        reason=Reason(ReasonKind(day.difference.why), words.strip()),
    )
    marks = LineCheckMark.objects.filter(line_check__show=held, input=entry)
    marks.update(permanent=revision)
    # Said once more of the input as it is now: what is as listed falls away.
    now = Input.objects.select_related("device", "unit", "rig__player").get(pk=entry.pk)
    differ(held, now, by=by)
    return revision
