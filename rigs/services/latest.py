"""Who changed something last, and since when."""

from __future__ import annotations

from collections.abc import Iterable

from rigs.models import ChangeRow, Rig


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
