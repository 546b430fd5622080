from __future__ import annotations

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("rigs", "0009_spares"),
    ]
    operations = []
