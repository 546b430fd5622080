"""Records that were in the log before their table got another column are as they were written."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from core.models import Song
from core.proof import shape
from core.proof.verify import broken_log
from notes.archive.writer import export
from tests.core.proof.test_archive_script import verify
from tests.support.world import World

HELD = Path(__file__).parent / "columns.json"
# What says the same after a database had it.
PLAIN = (type(None), str, bool, int, list, dict)


def test_what_goes_into_the_log_of_a_record_stays_what_it_is() -> None:
    """A column that is added stands in LOG_LATER of its model; one that is here can neither go, nor
    get another name, nor begin or cease to be a text: what was written would not verify. A new
    table comes into the file as it is first (`python -m tests.core.proof.columns`)."""
    held = json.loads(HELD.read_text())
    now = shape.described()
    assert {name: _first(now[name]) for name in held if name in now} == held
    assert sorted(set(now) - set(held)) == []


def test_what_comes_later_has_a_plain_default() -> None:
    for table, each in shape.described().items():
        assert all(isinstance(default, PLAIN) for default in each["later"].values()), table


def _first(described: dict[str, Any]) -> dict[str, Any]:
    """Without what came later."""
    later = described["later"]
    left = {key: value for key, value in described.items() if key != "later"}
    for key in ("columns", "texts"):
        left[key] = [name for name in described[key] if name not in later]
    left["pointers"] = {k: v for k, v in described["pointers"].items() if k not in later}
    return left


@pytest.fixture
def before(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """Songs in the log as before they had a gap and a reference; calling it adds those."""
    later = ("gap_s", "reference")
    monkeypatch.setattr(Song, "LOG_WITHOUT", later, raising=False)
    shape.shapes.cache_clear()

    def now() -> None:
        monkeypatch.setattr(Song, "LOG_WITHOUT", ())
        monkeypatch.setattr(Song, "LOG_LATER", later, raising=False)
        shape.shapes.cache_clear()

    yield now
    monkeypatch.undo()
    shape.shapes.cache_clear()


def test_a_column_that_came_later_changes_no_record_of_before(
    world: World, before: Any, tmp_path: Path
) -> None:
    song = Song.objects.create(production=world.production, title="Wicket")
    before()
    assert list(broken_log(world.production)) == []
    export(world.production, tmp_path / "then.zip")
    code, said = verify(tmp_path / "then.zip")
    assert code == 0, said
    song.gap_s, song.reference = 4, "the first record"
    song.save()
    assert list(broken_log(world.production)) == []
    export(world.production, tmp_path / "now.zip")
    code, said = verify(tmp_path / "now.zip")
    assert code == 0, said


def test_it_is_looked_at_all_the_same(world: World, before: Any, silently: Any) -> None:
    song = Song.objects.create(production=world.production, title="Wicket")
    before()
    for later in ({"gap_s": 4}, {"gap_s": None, "reference": "another"}):
        silently(Song.objects.filter(pk=song.pk), **later)
        assert ["is not what was written" in each for each in broken_log(world.production)] == [
            True
        ]
