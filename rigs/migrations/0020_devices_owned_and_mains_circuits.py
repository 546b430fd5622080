from __future__ import annotations

import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("rigs", "0019_ground_lift_and_whose_pad_it_is")]

    operations = [
        migrations.AddField(
            "device",
            "owned",
            models.PositiveIntegerField(
                blank=True,
                help_text="How many of them the production has; 0 where they are always hired.",
                null=True,
                validators=[django.core.validators.MaxValueValidator(999)],
                verbose_name="number owned",
            ),
        ),
        migrations.AddField(
            "device",
            "serials",
            models.TextField(
                blank=True,
                default="",
                help_text="One a line.",
                max_length=2000,
                verbose_name="serial numbers or labels",
            ),
        ),
        migrations.AddField(
            "unit",
            "mains_circuit",
            models.CharField(
                blank=True,
                default="",
                help_text="The circuit it is plugged into, as it is labelled, with its figures "
                "where they are known: Backline left, 230 V, 16 A. Write it alike for all that "
                "share it.",
                max_length=80,
            ),
        ),
    ]
