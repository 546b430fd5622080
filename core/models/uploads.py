"""Files that come in pieces, until a form names them."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from core import clock
from core.models.base import Identified
from core.models.productions import Production


class Upload(Identified):
    """A file of which pieces arrive one after the other. Sizes are in bytes.

    The key is the sender's: asked for again under the same key, it is the same upload.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="uploads")
    production = models.ForeignKey(Production, models.CASCADE, related_name="+")
    key = models.CharField(max_length=64)
    name = models.CharField(max_length=255)
    content_type = models.CharField(max_length=100)
    size = models.PositiveBigIntegerField()
    received = models.PositiveBigIntegerField(default=0)
    touched_at = models.DateTimeField(default=clock.now, db_index=True)
    # When a form named it last.
    used_at = models.DateTimeField(null=True, blank=True, default=None)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user", "production", "key"], name="upload_once_per_key"
            ),
            models.CheckConstraint(
                condition=Q(received__lte=F("size")), name="upload_not_longer_than_said"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_complete(self) -> bool:
        return self.received == self.size


class UploadPiece(models.Model):
    """One piece, a file of its own in the storage. Never changed."""

    upload = models.ForeignKey(Upload, models.CASCADE, related_name="pieces")
    begins = models.PositiveBigIntegerField()
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    path = models.CharField(max_length=200, unique=True)

    class Meta:
        ordering = ["begins"]
        constraints = [
            models.UniqueConstraint(fields=["upload", "begins"], name="upload_piece_once")
        ]

    def __str__(self) -> str:
        return f"{self.upload_id} from {self.begins}"
