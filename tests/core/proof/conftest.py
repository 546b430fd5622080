"""A server with a key of its own; writing that the log does not hear of."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings

from core.proof import entries, key


@pytest.fixture
def signed(tmp_path: Path, settings: LazySettings) -> Iterator[key.Key]:
    settings.SIGNING_KEY = tmp_path / "signing_key"
    yield key.make(settings.SIGNING_KEY)
    key._at.cache_clear()


@pytest.fixture
def silently() -> Callable[..., None]:
    """Updates the rows of a query without an entry."""

    def update(rows: Any, **values: Any) -> None:
        with entries.silent():
            rows.update(**values)

    return update
