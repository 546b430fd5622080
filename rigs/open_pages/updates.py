"""What a page of a rig is told while it is open: the changes that others make."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.urls import reverse

from core.composed import Composed, column
from core.live.notify import notify
from core.live.stream import News
from rigs.changes.edits import Change
from rigs.models import Revision, Rig
from rigs.wording import describe_many

# A page that was away for longer is told the newest only, rather than kept busy.
MOST = 20


# A rig that has changes after some number.
_moved: Composed[Rig] = Composed(
    lambda rig, since: Rig.objects.filter(pk=rig, head_number__gt=since).only("pk").order_by(),
    column(Rig),
    column(Rig, "head_number"),
)


def topic_of(rig: UUID) -> str:
    """The name under which the changes of a rig are announced to open pages."""
    return f"rig:{rig}"


def on_recorded(revision: Revision, changes: Sequence[Change]) -> None:
    """Wake every open page of the rig, whatever the changes are."""
    notify(topic_of(revision.rig_id))


def news_of(rig: Rig, since: int) -> list[News]:
    """The changes after number `since`, oldest first; of very many the newest. One query as long
    as there is none, which is what most pages find most of the time."""
    if not _moved(rig.pk, since):
        return []
    newer = Revision.objects.filter(rig=rig, number__gt=since).prefetch_related("changes")
    rows = list(newer.select_related("rig__production").order_by("-number")[:MOST])[::-1]
    lines = describe_many(rows) if rows else {}
    return [
        News(
            row.number,
            {
                "number": row.number,
                "who": row.author_name,
                "words": [line.sentence for line in lines[row.pk][:3]],
                "more": max(0, len(lines[row.pk]) - 3),
                "url": reverse("rigs:revision", args=[rig.production_id, rig.pk, row.number]),
            },
        )
        for row in rows
    ]
