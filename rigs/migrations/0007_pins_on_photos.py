from __future__ import annotations

import uuid

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

FRACTION = [
    django.core.validators.MinValueValidator(0),
    django.core.validators.MaxValueValidator(1),
]


class Migration(migrations.Migration):
    dependencies = [
        ("rigs", "0006_stereo_pair_tolerance"),
    ]
    operations = [
        migrations.CreateModel(
            name="Pin",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=uuid.uuid4, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("retired", models.BooleanField(default=False, editable=False)),
                ("position", models.PositiveIntegerField(default=0)),
                ("about", models.UUIDField(blank=True, null=True)),
                (
                    "x",
                    models.DecimalField(decimal_places=4, max_digits=5, validators=FRACTION),
                ),
                (
                    "y",
                    models.DecimalField(decimal_places=4, max_digits=5, validators=FRACTION),
                ),
                (
                    "words",
                    models.CharField(
                        blank=True,
                        help_text="What is to be seen there, in a few words.",
                        max_length=120,
                    ),
                ),
                (
                    "photo",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pins",
                        to="rigs.photo",
                    ),
                ),
                (
                    "rig",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pins",
                        to="rigs.rig",
                    ),
                ),
            ],
            options={
                "ordering": ["position"],
                "abstract": False,
                "indexes": [models.Index(fields=["rig", "position"], name="pin_in_order")],
            },
        ),
    ]
