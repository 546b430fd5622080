from __future__ import annotations

import uuid

import django.db.models.deletion
from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import migrations, models

import core.clock

LIMIT = [MaxValueValidator(86400)]


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0003_rehearsal_room"),
    ]
    operations = [
        migrations.AddField(
            model_name="song",
            name="gap_s",
            field=models.PositiveIntegerField(
                blank=True, null=True, validators=LIMIT, verbose_name="gap after it"
            ),
        ),
        migrations.AddField(
            model_name="song",
            name="length_s",
            field=models.PositiveIntegerField(
                blank=True, null=True, validators=LIMIT, verbose_name="length"
            ),
        ),
        migrations.CreateModel(
            name="Research",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=uuid.uuid4, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("version", models.PositiveIntegerField(default=1, editable=False)),
                (
                    "release",
                    models.CharField(
                        blank=True,
                        help_text="Which recording, where it is not the song’s own reference "
                        "recording.",
                        max_length=200,
                        verbose_name="release",
                    ),
                ),
                (
                    "from_s",
                    models.PositiveIntegerField(
                        blank=True, null=True, validators=LIMIT, verbose_name="from"
                    ),
                ),
                (
                    "to_s",
                    models.PositiveIntegerField(
                        blank=True, null=True, validators=LIMIT, verbose_name="to"
                    ),
                ),
                (
                    "does",
                    models.TextField(
                        blank=True,
                        help_text="What is heard, as it is: which sound, how near, how wide.",
                        max_length=2000,
                        verbose_name="what the record does there",
                    ),
                ),
                (
                    "take",
                    models.TextField(
                        help_text="What this player’s sound should get.",
                        max_length=2000,
                        verbose_name="what to take from it",
                    ),
                ),
                ("written_at", models.DateTimeField(default=core.clock.now, editable=False)),
                (
                    "player",
                    models.ForeignKey(
                        blank=True,
                        help_text="Leave empty for what concerns everybody.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="research",
                        to="core.player",
                    ),
                ),
                (
                    "song",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="research",
                        to="core.song",
                    ),
                ),
                (
                    "written_by",
                    models.ForeignKey(
                        editable=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "research",
                "ordering": ["song__position", "song__title", "from_s", "written_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("from_s", None),
                            ("to_s", None),
                            ("to_s__gte", models.F("from_s")),
                            _connector="OR",
                        ),
                        name="research_ends_after_start",
                        violation_error_message="The place on the record cannot end before it "
                        "starts.",
                    )
                ],
            },
        ),
    ]
