"""Note which productions are older than the log: `manage.py checkpoint` puts their records in."""

from __future__ import annotations

from typing import Any

from django.db import migrations


def note(apps: Any, schema_editor: Any) -> None:
    begun = apps.get_model("core", "LogBegun")
    productions = apps.get_model("core", "Production").objects.values_list("pk", flat=True)
    begun.objects.bulk_create([begun(production_id=pk) for pk in productions])


class Migration(migrations.Migration):
    dependencies = [("core", "0023_log_of_what_is_written")]
    operations = [migrations.RunPython(note, migrations.RunPython.noop)]
