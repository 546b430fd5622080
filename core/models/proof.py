"""The log of what people wrote in a production, and its checkpoints. For `core.proof` alone."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy

from core import clock
from core.models.productions import Production


class LogEntry(models.Model):
    """One record was written, changed or deleted: a leaf of the tree of its production.

    The order is that of the ids within a production (core.proof.entries says why it holds).
    """

    APPEND_ONLY: ClassVar[bool] = True

    # No constraint in the database: it would lock the production's row at every edit, for which
    # whoever publishes a handover waits. And a production that is taken out leaves its log behind.
    production = models.ForeignKey(
        Production, models.DO_NOTHING, db_constraint=False, db_index=False, related_name="+"
    )
    table = models.CharField(max_length=48)  # such as notes.note
    key = models.CharField(max_length=200)  # of the record, the same on every server
    digest = models.BinaryField(max_length=32)  # SHA-256 of what it says; empty: it was deleted
    at = models.DateTimeField(default=clock.now, editable=False)
    # By whoever has the key of this server (core.proof.key); empty where there was none.
    mark = models.BinaryField(max_length=16, default=b"")

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["production", "id"], name="log_of_production")]

    def __str__(self) -> str:
        return f"{self.table} {self.key}"


class LogSalt(models.Model):
    """What the texts of a record are hidden by in the newest entry about it.

    Each version has its own, and that of the version before is gone: from the log nobody can find
    out, by trying, what a text said that was changed or removed.
    """

    production = models.ForeignKey(
        Production, models.DO_NOTHING, db_constraint=False, db_index=False, related_name="+"
    )
    table = models.CharField(max_length=48)
    key = models.CharField(max_length=200)
    salt = models.CharField(max_length=32)  # 128 bits, hexadecimal

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["production", "table", "key"], name="log_salt_once")
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.key}"


class LogNode(models.Model):
    """The root over 256 entries (`core.proof.nodes`), so that a proof need not read them."""

    production = models.ForeignKey(
        Production, models.DO_NOTHING, db_constraint=False, db_index=False, related_name="+"
    )
    number = models.PositiveBigIntegerField()  # from 0, in the order of the entries
    root = models.BinaryField(max_length=32)  # of the tree over them, RFC 9162
    last = models.PositiveBigIntegerField()  # the id of the last of them

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["production", "number"], name="log_node_once")
        ]

    def __str__(self) -> str:
        return f"node {self.number}"


class Checkpoint(models.Model):
    """How long the log of a production was at a moment, and the root of its tree, signed."""

    APPEND_ONLY: ClassVar[bool] = True

    class Why(models.TextChoices):
        FIRST = "first", gettext_lazy("the first")
        DAY = "day", gettext_lazy("the day")
        SIGN_OFF = "sign_off", gettext_lazy("a sign-off")
        PUBLISHED = "published", gettext_lazy("a published handover")
        ASKED = "asked", gettext_lazy("somebody asked")

    production = models.ForeignKey(
        Production, models.DO_NOTHING, db_constraint=False, db_index=False, related_name="+"
    )
    size = models.PositiveBigIntegerField()  # entries
    root = models.CharField(max_length=64)  # of the tree over them, RFC 9162
    # The complete trees within it, so that the next checkpoint reads only what came after.
    peaks = models.TextField()  # hashes, hexadecimal, apart by spaces
    at = models.DateTimeField(default=clock.now, editable=False)
    why = models.CharField(max_length=10, choices=Why.choices)
    # Whether every trigger that protects histories was there, and said what it ought to.
    protected = models.BooleanField()
    public_key = models.CharField(max_length=64, blank=True)  # Ed25519, hexadecimal
    signature = models.CharField(max_length=128, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["production", "size"], name="checkpoint_of_size_once")
        ]

    def __str__(self) -> str:
        return f"checkpoint at {self.size}"


class LogBegun(models.Model):
    """How far records from before there was a log are in it. One row a production that has such."""

    production = models.OneToOneField(
        Production, models.DO_NOTHING, db_constraint=False, related_name="+"
    )
    table = models.CharField(max_length=48, blank=True)  # the last one that was begun
    after = models.CharField(max_length=40, blank=True)  # the key of the last row that is in
    done = models.BooleanField(default=False)

    def __str__(self) -> str:
        return "in the log" if self.done else f"as far as {self.table}"
