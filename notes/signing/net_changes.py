"""What a stretch of history adds up to: where each field came from and is, and who touched it last.

What was turned and turned back is no difference.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple
from uuid import UUID

from rigs.changes.diff import diff
from rigs.changes.edits import Change
from rigs.models import Rig
from rigs.revisions.many import Touched, keys_of, last_touched, states_of


class Difference(NamedTuple):
    """What is not as it was, and the newest three revisions that touched it (primary keys, oldest
    first)."""

    change: Change
    revisions: tuple[int, ...]


def between(
    rigs: Iterable[Rig], spans: Mapping[UUID, tuple[int, int]]
) -> dict[UUID, list[Difference]]:
    """What differs on each rig from one of its revisions to a later one, by their numbers; `rigs`
    are all of those in `spans`, and maybe others.

    Four queries; none where there is no rig.
    """
    if not spans:
        return {}
    states = states_of((rig, n) for rig in rigs for n in spans.get(rig.pk, ()))
    changes = {
        rig: diff(states[rig, start], states[rig, end]) for rig, (start, end) in spans.items()
    }
    # A start of 0 lies before the first revision and has no key.
    keys = keys_of(spans)
    touched = last_touched(
        [
            Touched(
                each.part, each.field, keys.get((rig, spans[rig][0]), 0), keys[rig, spans[rig][1]]
            )
            for rig, differences in changes.items()
            for each in differences
        ]
    )
    return {
        rig: [Difference(each, touched.get((each.part, each.field), ())) for each in differences]
        for rig, differences in changes.items()
    }
