"""What keeps clips in order: figures by the newest method, and no sounds that nobody uses."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from core import clock
from core.stored_files import StoredFileUnreadable
from core.uploads.leftovers import drop_files
from notes.clips.measure import METHOD, ClipMeter
from notes.clips.samples import blocks, opened
from notes.clips.storage import FOLDER, named_in
from notes.clips.uploads import beginning_of
from notes.models import Clip, StoredSound

WAITS = timedelta(days=1)  # for a clip to be cut from a sound that was uploaded


def measure_again(clip: Clip) -> None:
    """Replace the figures of a clip by those of today's method. Raises StoredFileUnreadable."""
    with opened(clip) as file:
        gauge = ClipMeter(file.samplerate, file.channels)
    for block in blocks(clip):
        gauge.add(block)
    _replace(clip, gauge.figures())


@transaction.atomic
def _replace(clip: Clip, figures: dict[str, Any]) -> None:
    """Store new figures; those under which somebody signed are kept beside them."""
    there = Clip.objects.select_for_update().get(pk=clip.pk)
    earlier = list(there.earlier_figures)
    if there.method != METHOD and there.sign_offs.exists():
        until = clock.now().isoformat()
        earlier.append({"method": there.method, "figures": there.figures, "until": until})
    clip.figures, clip.method, clip.earlier_figures = figures, METHOD, earlier
    # Past `save`: nobody edited the clip, and a form that is open on it stays good.
    Clip.objects.filter(pk=clip.pk).update(figures=figures, method=METHOD, earlier_figures=earlier)


def update_figures(clip: Clip) -> bool:
    """Whether the figures are by today's method, now. Half a second for each minute if they
    were not; False where the sound cannot be read, and the old ones stay."""
    if clip.method == METHOD:
        return True
    try:
        measure_again(clip)
    except StoredFileUnreadable:
        return False
    return True


def out_of_date() -> Any:
    return Clip.objects.exclude(method=METHOD).order_by("brought_at")


def look_up_beginnings() -> int:
    """Look up where sounds begin that were uploaded before this was stored. How many were looked
    at."""
    sounds = StoredSound.objects.filter(beginning="")
    return sum(bool(beginning_of(sound)) for sound in sounds.iterator())


def drop_unused(now: datetime | None = None) -> Iterator[str]:
    """Remove sounds that for a day were neither cut, nor a memo, nor a file of a recording, and
    files that no row names; yields their names as they go."""
    before = (now or clock.now()) - WAITS
    unused = StoredSound.objects.filter(clips=None, memos=None, recorded_in=None)
    for sound in unused.filter(brought_at__lt=before):
        with transaction.atomic():
            # Asked again under the lock: somebody may be cutting from it just now.
            gone, _ = unused.filter(pk=sound.pk).delete()
        if gone:
            yield str(sound)
    # What a crash left behind.
    yield from drop_files(FOLDER, named_in, before)
