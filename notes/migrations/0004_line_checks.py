from __future__ import annotations

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("notes", "0003_published_handovers"),
    ]
    operations = []
