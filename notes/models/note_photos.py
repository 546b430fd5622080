"""Photos that belong to listening notes: what was in front of whoever heard it."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Prefetch, Q
from django.utils.translation import gettext as _

from core import clock
from core.models.base import Identified, OfflineTimes
from notes.models.listening import Note
from rigs.models import StoredPhoto


class NotePhotoQuerySet(models.QuerySet["NotePhoto"]):
    def shown(self) -> Self:
        """Without those that were removed."""
        return self.filter(removed_at=None)


class NotePhoto(OfflineTimes, Identified):
    """A stored picture with a note. It is of the note, so no change of the rig and in no revision.

    A row is never changed but for being removed, once: the note then says by whom, and handovers
    that were published with it still show it. The same picture added again is another row.
    """

    note = models.ForeignKey(Note, models.PROTECT, related_name="photos")
    image = models.ForeignKey(StoredPhoto, models.PROTECT, related_name="note_photos")
    caption = models.CharField(max_length=200, blank=True, default="")
    position = models.PositiveIntegerField(default=0, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    added_at = models.DateTimeField(default=clock.now, editable=False)
    removed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = NotePhotoQuerySet.as_manager()

    class Meta:
        ordering = ["position", "added_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["note", "image"],
                # Among those shown only: a picture that was removed may be added again.
                condition=Q(removed_at=None),
                name="photo_once_per_note",
            )
        ]

    def __str__(self) -> str:
        return self.caption or "photo"

    @property
    def alternative(self) -> str:
        """For whoever does not see the picture. Reads the note."""
        return self.caption or _("Photo with a note about {rig}").format(rig=self.note.rig)


def shown_photos() -> Prefetch[str]:
    """For prefetch_related of notes: what is shown with each, in its `shown_photos`. One query."""
    return Prefetch(
        "photos",
        NotePhoto.objects.shown().select_related("image", "added_by"),
        to_attr="shown_photos",
    )
