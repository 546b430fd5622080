"""The latest changes of parts of a rig, and the change that retired a part."""

from __future__ import annotations

from collections.abc import Iterable

from rigs.changes.edits import WHOLE
from rigs.models import ChangeRow, Rig, Tracked


def latest_changes(rig: Rig, parts: Iterable[str], since: Iterable[int]) -> list[ChangeRow]:
    """The changes of those parts after the oldest of `since`, newest first. One query."""
    parts, since = list(parts), list(since)
    if not parts or not since:
        return []
    return list(
        ChangeRow.objects.filter(part__in=parts, revision__rig=rig, revision__number__gt=min(since))
        .select_related("revision")
        .order_by("-revision__number")
    )


def last_retirement(part: Tracked, before: int | None = None) -> ChangeRow | None:
    """The change that put `part` away, with its revision; None if nothing ever did.

    `before` looks no further than that state of the rig.
    """
    rows = ChangeRow.objects.filter(part=part.pk, field=WHOLE, new_json="null")
    if before is not None:
        rows = rows.filter(revision__number__lte=before)
    return rows.select_related("revision").order_by("-revision__number").first()
