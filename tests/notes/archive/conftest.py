"""What both the refused archives and the interrupted ones start from."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from notes.archive.writer import export
from tests.notes.archive.test_round_trip import forget
from tests.support.everything import fill
from tests.support.world import World


@pytest.fixture
def archived(world: World, tmp_path: Path, settings: Any) -> Path:
    """A whole archive; nothing of it is left on the server."""
    settings.MEDIA_ROOT = tmp_path / "media"
    fill(world)
    export(world.production, tmp_path / "a.zip")
    forget()
    settings.MEDIA_ROOT = tmp_path / "other"
    return tmp_path / "a.zip"
