from __future__ import annotations

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0005_requests_done_once"),
    ]
    operations = []
