"""A crew's own photos, scored like the drawn ones."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests.rigs.knob_check.pictures import AFTER, BEFORE, circles, photo


def fill(folder: Path, *, turns: str) -> None:
    reference, later = photo(turns=BEFORE), photo(turns=AFTER, off=12.0)
    (folder / "signed.jpg").write_bytes(reference.jpeg)
    (folder / "today.jpg").write_bytes(later.jpeg)
    rows = [
        f"signed.jpg,knob {i},{100 * c.x:.2f},{100 * c.y:.2f},{100 * c.radius:.2f}"
        for i, c in enumerate(circles(reference))
    ]
    (folder / "caps.csv").write_text("reference,cap,x,y,radius\n" + "\n".join(rows))
    (folder / "read.csv").write_text("reference,photo,cap,turn\n" + turns)


def score(folder: Path) -> str:
    out = StringIO()
    call_command("score_knobs", str(folder), stdout=out)
    return out.getvalue()


def test_what_was_read_by_eye_is_what_counts(tmp_path: Path) -> None:
    fill(tmp_path, turns="signed.jpg,today.jpg,knob 1,35\nsigned.jpg,today.jpg,knob 0,40\n")
    *each, table = score(tmp_path).splitlines()
    assert "knob 1" in each[0]
    assert "by eye +35°" in each[0]
    # Of two, one is found; the other, read by eye at 40°, counts as told wrong by more than 20°.
    assert table.split("|")[1:4] == [" 2 ", " 2 ", " 50.0 "]
    assert table.rstrip(" |").endswith("| 1")


def test_a_row_about_no_cap_is_named(tmp_path: Path) -> None:
    fill(tmp_path, turns="signed.jpg,today.jpg,knob 9,35\n")
    with pytest.raises(CommandError, match="knob 9"):
        score(tmp_path)
