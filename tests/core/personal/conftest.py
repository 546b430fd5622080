"""What a test removed must not be remembered as removed by the next one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from core.personal.store import forget_remembered


@pytest.fixture(autouse=True)
def _nothing_remembered() -> Iterator[None]:
    yield
    forget_remembered()
