"""The sounds that go with rigs to somebody who has a link to them: clips, never originals."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.urls import reverse

from core.models import Production
from notes.clips.storage import PLAYED
from notes.models import Clip


def sounds_of_rigs(production: Production, rigs: Sequence[UUID]) -> Iterable[str]:
    """Addresses. One query."""
    clips = Clip.objects.live().filter(production=production, rig__in=rigs)
    for pk in clips.order_by("-brought_at", "pk").values_list("pk", flat=True):
        for copy in PLAYED:
            yield reverse("notes:clip_sound", args=[production.pk, pk, copy])
