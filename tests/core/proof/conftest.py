"""A server with a key of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import LazySettings

from core.proof import key


@pytest.fixture
def signed(tmp_path: Path, settings: LazySettings) -> Iterator[key.Key]:
    settings.SIGNING_KEY = tmp_path / "signing_key"
    yield key.make(settings.SIGNING_KEY)
    key._at.cache_clear()
