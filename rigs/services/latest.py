"""Who changed something last, and since when."""

from __future__ import annotations

from collections.abc import Iterable

from rigs.models import ChangeRow, Rig, Tracked
from rigs.revisions.edits import WHOLE


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


def last_retirement(part: Tracked) -> ChangeRow | None:
    """The change that put `part` away, with its revision; None if nothing ever did."""
    rows = ChangeRow.objects.filter(part=part.pk, field=WHOLE, new_json="null")
    return rows.select_related("revision").order_by("-revision__number").first()
