from __future__ import annotations

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0003_rehearsal_room"),
    ]
    operations = []
