"""API keys are kept as digests. A key that was made before goes on working."""

from __future__ import annotations

import hashlib
from typing import Any

from django.db import migrations


def keep_digests(apps: Any, schema_editor: Any) -> None:
    """As `core.services.tokens.digest` had it when this was written."""
    tokens = apps.get_model("authtoken", "Token").objects
    for key in list(tokens.values_list("key", flat=True)):
        digest = hashlib.sha256(key.encode()).hexdigest()[:40]
        tokens.filter(key=key).update(key=digest)


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0028_language_of_players_and_links"),
        ("authtoken", "0004_alter_tokenproxy_options"),
    ]

    operations = [migrations.RunPython(keep_digests, migrations.RunPython.noop)]
