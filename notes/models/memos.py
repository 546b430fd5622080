"""Voice memos of listening notes, and the words that notes had before others took their place."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _

from core import clock
from core.models.base import Identified, OfflineTimes
from core.personal.fields import PersonalTextField
from notes.models.clips import StoredSound
from notes.models.listening import Note


class NoteMemo(Identified):
    """What somebody said into the phone for a note, by whom and when the note says.

    `sound` has the bytes as they came. `preview` names a small compressed copy, which every browser
    plays. A memo is never changed; what it says may be written into the note's words later.
    """

    APPEND_ONLY = True

    note = models.OneToOneField(Note, models.PROTECT, related_name="memo")
    sound = models.ForeignKey(StoredSound, models.PROTECT, related_name="memos")
    preview = models.CharField(max_length=64, editable=False)
    preview_bytes = models.PositiveBigIntegerField(editable=False)

    def __str__(self) -> str:
        return _("voice memo, {length}").format(length=self.length)

    @property
    def length(self) -> str:
        """Minutes and seconds: “0:07”. Reads the sound."""
        # At least a second: “0:00” would look like an empty memo.
        minutes, seconds = divmod(max(1, round(self.sound.seconds)), 60)
        return f"{minutes}:{seconds:02d}"


class EarlierWords(OfflineTimes, models.Model):
    """What a note said until its author wrote it anew. Empty where it had no words until then."""

    APPEND_ONLY = True
    LOG_KEY = ("note", "until")

    note = models.ForeignKey(Note, models.PROTECT, related_name="earlier_words")
    words = PersonalTextField(blank=True, default="", max_length=4000, person="changed_by")
    reading = PersonalTextField(blank=True, default="", max_length=4000, person="changed_by")
    until = models.DateTimeField(default=clock.now, editable=False)
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["until", "pk"]

    def __str__(self) -> str:
        return self.words or self.reading or _("without words")
