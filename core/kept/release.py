"""What this program is: whatever it made before an upgrade is made anew after it."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from django.apps import apps
from django.utils.version import get_version

ENDINGS = frozenset({".py", ".html", ".typ", ".mo", ".svg"})


@cache
def release() -> str:
    """SHA-256, in hex, over all that results depend on: code, templates, words, drawings. Read once
    in a process."""
    digest = hashlib.sha256(get_version().encode())
    for root in sorted(Path(app.path) for app in apps.get_app_configs()):
        if root.parent != Path(__file__).resolve().parents[2]:
            continue  # a library's
        for file in sorted(root.rglob("*")):
            if file.suffix in ENDINGS and "tests" not in file.parts:
                content = file.read_bytes()
                digest.update(f"{file.relative_to(root.parent)} {len(content)} ".encode() + content)
    return digest.hexdigest()
