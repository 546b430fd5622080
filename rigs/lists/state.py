"""What a list on paper was made from, so that a stale print is recognised."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Max, Q, QuerySet
from django.utils.translation import ngettext

from core.models import Production, Show
from rigs.models import Revision, Rig, ShowDep, ShowHire, ShowInput, UnitAtShow


class ListState(NamedTuple):
    """How many changes the rigs of a list have in all, a digest of where each is, and when the
    newest was made (None where there is no rig)."""

    changes: int
    digest: str
    at: datetime | None

    @property
    def short(self) -> str:
        return self.digest[:8]

    @property
    def described(self) -> str:
        """As on paper, where two prints of one minute can still be told apart."""
        said = ngettext("{n} change · {digest}", "{n} changes · {digest}", self.changes)
        return said.format(n=self.changes, digest=self.short)


def state_of(
    production: Production,
    variants: Sequence[str],
    show: Show | None = None,
    rigs: Collection[UUID] | None = None,
    deps: Iterable[ShowDep] = (),
) -> ListState:
    """SHA-256 over the digests of the rigs' newest revisions and, for a show, over what is noted
    for it. `rigs` in place of those of the variants; `deps` are those that hold at the show. Two
    queries, five for a show."""
    chosen = {"variant__in": variants} if rigs is None else {"pk__in": rigs}
    chosen_rigs = Rig.objects.filter(production=production, retired=False, **chosen)
    # Sorted, so that the digest depends on the states alone and not on the order of the rows.
    heads = sorted(chosen_rigs.values_list("pk", "head_number", "head_digest"))
    at = Revision.objects.filter(rig__in=[pk for pk, _, _ in heads]).aggregate(at=Max("at"))["at"]
    lines = [f"{pk} {digest}" for pk, _, digest in heads]
    changes, times = sum(number for _, number, _ in heads), [at]
    said = [list(rows.values_list("pk", "version", "at")) for rows in _noted(show)] if show else []
    for noted in [*map(sorted, said), sorted((d.pk, d.version, d.at) for d in deps)]:
        lines += [f"{pk} {version}" for pk, version, _ in noted]
        times += [when for _, _, when in noted]
    known = [when for when in times if when is not None]
    digest = hashlib.sha256("\n".join(lines).encode()).hexdigest()
    return ListState(changes, digest, max(known, default=None))


def _noted(show: Show) -> Iterator[QuerySet[Any]]:
    yield ShowInput.objects.filter(show=show)
    yield ShowHire.objects.filter(show=show)
    # What came to an earlier show of the leg may stay to its end.
    to_the_end = Q(
        lasts=UnitAtShow.Lasts.LEG, show__leg=show.leg_id, show__held_on__lte=show.held_on
    )
    yield UnitAtShow.objects.filter(Q(show=show) | to_the_end, withdrawn_at=None)
