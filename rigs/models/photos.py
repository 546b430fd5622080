"""Photos: the stored picture, and its place in a rig."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.languages.marked import gettext_noop
from core.models import Production
from core.models.base import Identified
from rigs.fields import POSITION, PartField, ValueKind
from rigs.models.parts import Part


class StoredPhoto(Identified):
    """A picture's bytes, kept once per production under the SHA-256 of the prepared file."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="photos")
    sha256 = models.CharField(max_length=64, editable=False)
    thumb_sha256 = models.CharField(max_length=64, editable=False)
    width = models.PositiveIntegerField(editable=False)
    height = models.PositiveIntegerField(editable=False)
    bytes = models.PositiveIntegerField(editable=False)
    # Who stored it first; the same picture uploaded again adds no row.
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    stored_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["production", "sha256"], name="photo_kept_once")
        ]

    def __str__(self) -> str:
        return self.sha256[:12]


class Photo(Part):
    """A stored picture that belongs to a rig, or to one unit or input of it."""

    class View(models.TextChoices):
        """What of its subject a photo shows."""

        OVERALL = "overall", gettext_lazy("all of it")
        FRONT = "front", gettext_lazy("from the front")
        BACK = "back", gettext_lazy("from the back")
        SETTINGS = "settings", gettext_lazy("knobs and switches")
        MICROPHONE = "microphone", gettext_lazy("where the microphone is")
        PLUGS = "plugs", gettext_lazy("plugs and cables")

    KIND: ClassVar[str] = "photo"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("image", kind=ValueKind.POINTER, label=gettext_noop("picture")),
        PartField("about", kind=ValueKind.POINTER, label=gettext_noop("shows"), names_part=True),
        PartField("view"),
        PartField("caption", names_part=True, searched=True),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="photos")
    image = models.ForeignKey(StoredPhoto, models.PROTECT, related_name="uses")
    # The id of the unit or input it shows; empty for the rig as a whole.
    # No foreign key: it may be of two kinds. rigs/revisions/references.py checks that it is there.
    about = models.UUIDField(null=True, blank=True)
    view = models.CharField(max_length=20, choices=View, blank=True, default="")
    caption = models.CharField(max_length=200, blank=True)

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="photo_in_order")]

    @property
    def is_described(self) -> bool:
        """Whether anybody said what it shows."""
        return bool(self.about or self.view or self.caption)

    def __str__(self) -> str:
        return self.caption or _("photo")
