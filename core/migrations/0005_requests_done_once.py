from __future__ import annotations

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import core.clock


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0004_record_research"),
    ]
    operations = [
        migrations.CreateModel(
            name="DoneRequest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(max_length=64)),
                ("digest", models.CharField(max_length=64)),
                ("location", models.TextField(blank=True, default="")),
                ("at", models.DateTimeField(db_index=True, default=core.clock.now)),
                ("user", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="+", to=settings.AUTH_USER_MODEL)),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("user", "key"), name="request_done_once")],
            },
        ),
    ]
