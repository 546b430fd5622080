"""The history of a rig: revisions, the changes in them, and whole states now and then.

All three are append-only; the database itself refuses to update or delete a row
(core.append_only).
"""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import get_language, gettext_noop
from django.utils.translation import gettext as _

from core.languages.sentences import Sentences
from core.personal.fields import PersonalCharField, PersonalTextField
from rigs.changes import edits
from rigs.changes.reasons import BECAUSE, LABELS, ReasonKind


class Origin(Sentences):
    """Where the parts of a change came from, as its reason: in English, which digests cover."""

    RIG = gettext_noop("Copied from “{rig}” as of change {number}.")
    UNIT = gettext_noop("Copied from “{unit}” of “{rig}”.")
    LIST = gettext_noop("From the list “{file}”.")


class Revision(models.Model):
    """One change of a rig: who made it, when and why, chained to the one before by its digest."""

    APPEND_ONLY: ClassVar[bool] = True
    LOG_DIGEST: ClassVar[str] = "digest"  # it is over all that a change says, its rows included

    # No index of its own: (rig, number) serves, and every index is paid for at every edit.
    rig = models.ForeignKey("rigs.Rig", models.PROTECT, db_index=False, related_name="revisions")
    number = models.PositiveIntegerField()
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, db_index=False, related_name="+"
    )
    # As it was then: accounts change their names, and the digest holds this one.
    author_name = PersonalCharField(max_length=120, kind="name", person="author")
    at = models.DateTimeField()  # when it was put on record: the order of the chain
    # When it was written, if it waited for a network; and a moment that a device said in vain.
    written_at = models.DateTimeField(null=True)
    device_said = models.DateTimeField(null=True)
    reason_kind = models.CharField(
        max_length=12, choices=[(str(kind), label) for kind, label in LABELS.items()]
    )
    reason_words = PersonalTextField(blank=True, person="author")
    reason_notes = models.TextField(default="[]")  # canonical JSON list of note ids
    restored = models.PositiveIntegerField(null=True)
    parent_digest = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["rig", "number"], name="revision_number_once")
        ]
        indexes = [
            models.Index(fields=["author", "-at"], name="revision_by_author"),
        ]

    def __str__(self) -> str:
        return f"change {self.number} of {self.rig}"

    @property
    def happened_at(self) -> datetime:
        """The moment that people are told: when it was written, as far as that is known."""
        return self.written_at or self.at

    @property
    def arrived_at(self) -> datetime | None:
        """The moment when it arrived, if that was later than it was written; otherwise None."""
        return self.at if self.written_at or self.device_said else None

    @property
    def note_ids(self) -> list[str]:
        return list(json.loads(self.reason_notes))

    @property
    def reason_label(self) -> str:
        return _(LABELS[ReasonKind(self.reason_kind)])

    @property
    def reason_told(self) -> str:
        """`reason_words`, in the language of the reader where they are of an `Origin`."""
        if self.reason_kind != ReasonKind.NONE or get_language() == settings.LANGUAGE_CODE:
            return str(self.reason_words)
        return Origin.retold(self.reason_words)

    @property
    def because(self) -> str:
        """What it was made for, as a sentence begins; empty where nobody said."""
        words = BECAUSE.get(ReasonKind(self.reason_kind))
        return _(words) if words else ""


class ChangeRow(models.Model):
    """One field of one part, changed in one revision.

    Values are canonical JSON; null means that the field is at its default.
    """

    APPEND_ONLY: ClassVar[bool] = True

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="changes")
    # An id, not a foreign key: the part may be of any kind.
    part = models.UUIDField()
    kind = models.CharField(max_length=12)
    field = models.CharField(max_length=32, blank=True)
    # Text and no JSON column: PostgreSQL respells what is in one, and verifying compares spelling.
    old_json = models.TextField()
    new_json = models.TextField()

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["part", "-revision"], name="change_of_part")]

    def __str__(self) -> str:
        return f"{self.kind} {self.field}"

    @property
    def old(self) -> Any:
        return json.loads(self.old_json)

    @property
    def new(self) -> Any:
        return json.loads(self.new_json)

    def as_change(self) -> edits.Change:
        return edits.Change(str(self.part), self.kind, self.field, self.old, self.new)


class KeyFrame(models.Model):
    """The whole state of a rig after one revision, stored now and then.

    With it, reading any revision costs the same however long the history is.
    """

    APPEND_ONLY: ClassVar[bool] = True

    revision = models.OneToOneField(Revision, models.PROTECT, related_name="key_frame")
    rig = models.ForeignKey("rigs.Rig", models.PROTECT, db_index=False, related_name="key_frames")
    number = models.PositiveIntegerField()
    body = models.BinaryField()
    body_sha256 = models.CharField(max_length=64)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["rig", "number"], name="key_frame_once")]

    def __str__(self) -> str:
        return _("whole state at {number}").format(number=self.number)
