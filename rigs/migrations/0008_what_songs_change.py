from __future__ import annotations

import uuid

import django.db.models.deletion
from django.core.validators import MaxValueValidator
from django.db import migrations, models


def one(to: str, **more: object) -> models.ForeignKey:
    return models.ForeignKey(
        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=to, **more
    )


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0004_record_research"),
        ("rigs", "0007_pins_on_photos"),
    ]
    operations = [
        migrations.CreateModel(
            name="SongSetting",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=uuid.uuid4, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("retired", models.BooleanField(default=False, editable=False)),
                ("position", models.PositiveIntegerField(default=0)),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("control", "setting of a control"),
                            ("tuning", "tuning"),
                            ("instrument", "instrument played"),
                            ("input", "input not used"),
                            ("cue", "cue"),
                        ],
                        default="control",
                        max_length=12,
                    ),
                ),
                ("value", models.CharField(blank=True, max_length=400)),
                (
                    "at_s",
                    models.PositiveIntegerField(
                        blank=True,
                        null=True,
                        validators=[MaxValueValidator(86400)],
                        verbose_name="time in the song",
                    ),
                ),
                (
                    "rig",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="song_settings",
                        to="rigs.rig",
                    ),
                ),
                ("song", one("core.song")),
                ("control", one("rigs.control", null=True, blank=True)),
                ("unit", one("rigs.unit", null=True, blank=True)),
                ("input", one("rigs.input", null=True, blank=True)),
                ("section", one("core.section", null=True, blank=True)),
            ],
            options={
                "verbose_name": "difference of a song",
                "ordering": ["position"],
                "abstract": False,
                "indexes": [models.Index(fields=["rig", "song"], name="difference_by_song")],
            },
        ),
        migrations.CreateModel(
            name="ChangeTimes",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=uuid.uuid4, editable=False, primary_key=True, serialize=False
                    ),
                ),
                (
                    "change_s",
                    models.PositiveIntegerField(
                        blank=True,
                        null=True,
                        validators=[MaxValueValidator(3600)],
                        verbose_name="changing the instrument",
                    ),
                ),
                (
                    "string_s",
                    models.PositiveIntegerField(
                        blank=True,
                        null=True,
                        validators=[MaxValueValidator(3600)],
                        verbose_name="retuning one string",
                    ),
                ),
                ("version", models.PositiveIntegerField(default=1, editable=False)),
                (
                    "production",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="change_times",
                        to="core.production",
                    ),
                ),
            ],
        ),
    ]
