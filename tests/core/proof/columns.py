"""Put tables into columns.json that are new, as they go into the log from now on.

python -m tests.core.proof.columns
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from core.proof.shape import described  # noqa: E402

HELD = Path(__file__).parent / "columns.json"

if __name__ == "__main__":
    held = json.loads(HELD.read_text()) if HELD.exists() else {}
    for table, shape in described().items():
        held.setdefault(table, {key: value for key, value in shape.items() if key != "later"})
    lines = (f"{json.dumps(table)}: {json.dumps(held[table])}" for table in sorted(held))
    HELD.write_text("{\n" + ",\n".join(lines) + "\n}\n")
