"""In a copy of the source whose inputs have one more length, `depth_m`: it is everywhere.

Run by tests/rigs/test_new_length.py. Two inches are 5.08 cm, 50.8 mm; 6 cm are 2.36 in (an inch
is 25.4 mm: NIST SP 811, appendix B.8).
"""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from core.models import Show
from core.search.backend import search
from notes.archive.load import load
from notes.archive.writer import export
from notes.linecheck.permanent import make_permanent
from notes.signing.services import sign
from rigs.changes.edits import Set
from rigs.models import Input
from rigs.shows.services import as_listed, row_of
from tests.notes.archive.test_round_trip import forget
from tests.rigs.shows.shows import make_show
from tests.support.api import api
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import HIRE, World

TWO_INCHES = {"depth_m": "0.0508", "depth_unit": "in"}
BOTH = "2 in (51 mm)"


@pytest.fixture
def deep(world: World) -> World:
    """Signed before anything was known of the depth, then two inches deep."""
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    world.record(Set(str(world.input.pk), "input", TWO_INCHES))
    world.rig.refresh_from_db()
    return world


def below(world: World, name: str, *parts: Any) -> str:
    """The address of a page below the world's production."""
    ids = [getattr(part, "pk", part) for part in parts]
    return reverse(f"rigs:{name}", args=[world.production.pk, *ids])


def page(world: World, name: str, *parts: Any) -> str:
    html = Page(as_user(world.tech), at(world, name, *parts)).html
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_it_is_typed_on_the_form_in_any_unit(world: World) -> None:
    form = Page(as_user(world.tech), at(world, "input_edit", world.input))
    assert form.sent["depth_m"] == ""
    assert form.response.context["form"].fields["depth_m"].label == "depth inside"
    assert form.send(depth_m="2 in").status == 302
    entry = Input.objects.get()
    assert (entry.depth_m, entry.depth_unit) == (Decimal("0.0508"), "in")
    again = Page(as_user(world.tech), at(world, "input_edit", world.input))
    assert again.sent["depth_m"] == "2 in"


def test_what_is_no_length_is_refused_at_its_field(world: World) -> None:
    back = Page(as_user(world.tech), at(world, "input_edit", world.input)).send(depth_m="deep")
    assert list(back.response.context["form"].errors) == ["depth_m"]


def test_once_documented_it_is_not_changed_without_a_reason(deep: World) -> None:
    form = Page(as_user(deep.tech), at(deep, "input_edit", deep.input))
    assert "needs a reason" in form.send(depth_m="6 cm").html
    assert Input.objects.get().depth_m == Decimal("0.0508")


def test_it_is_on_the_pages_in_both_systems(deep: World) -> None:
    assert f"Depth inside {BOTH}" in page(deep, "input", deep.input)
    assert f"{BOTH} deep" in page(deep, "rig")


def on_paper(world: World, address: str) -> str:
    answer = as_user(world.tech).get(address)
    made = b"".join(answer.streaming_content) if answer.streaming else answer.content
    sheets = pypdfium2.PdfDocument(made)
    return " ".join(" ".join(sheet.get_textpage().get_text_range().split()) for sheet in sheets)


def test_it_is_on_the_recall_sheet(deep: World) -> None:
    assert f"Depth inside {BOTH}" in on_paper(deep, at(deep, "recall"))


def test_it_is_on_the_printed_list(deep: World) -> None:
    """Where the microphone stands, in the crew’s own unit alone."""
    assert "2 in deep" in on_paper(deep, below(deep, "input_list_file", "pdf"))


def test_it_is_found_by_the_search(deep: World) -> None:
    def found(text: str) -> list[str]:
        hits = search(deep.production, text).hits
        return ["".join(piece.text for piece in hit.title) for hit in hits]

    assert found("51 mm") == ["7 Bass mic · Bass main"]
    other = {"depth_m": "0.06", "depth_unit": "cm"}
    deep.record(Set(str(deep.input.pk), "input", other), reason=HIRE)
    assert "7 Bass mic · Bass main" in found("6 cm")
    assert "7 Bass mic · Bass main" not in found("51 mm")


def test_the_history_tells_it_in_words(deep: World) -> None:
    told = page(deep, "revision", 2)
    assert "Depth inside" in told
    assert BOTH in told
    deep.record(
        Set(str(deep.input.pk), "input", {"depth_m": "0.06", "depth_unit": "cm"}), reason=HIRE
    )
    told = page(deep, "revision", 3)
    assert BOTH in told
    assert "6 cm (2.4 in)" in told
    assert "Unit of the depth" not in told


def test_it_differs_since_the_rig_was_signed(deep: World) -> None:
    told = page(deep, "rig")
    assert "What differs since the player signed change 1" in told
    assert "Depth inside:" in told.split("What differs since")[1]


def test_another_unit_alone_is_no_change_of_the_sound(world: World) -> None:
    world.record(Set(str(world.input.pk), "input", TWO_INCHES))
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=2)
    world.record(Set(str(world.input.pk), "input", {"depth_unit": "cm"}))
    assert "The sound is what was signed." in page(world, "rig")


@pytest.mark.parametrize("format", ["csv", "xlsx"])
def test_it_leaves_with_the_list_as_it_was_written(deep: World, format: str) -> None:
    address = reverse("rigs:input_list_file", args=[deep.production.pk, format])
    answer = as_user(deep.tech).get(address)
    made = b"".join(answer.streaming_content) if answer.streaming else answer.content
    if format == "csv":
        rows = list(csv.reader(io.StringIO(made.decode("utf-8-sig"))))
    else:
        book = openpyxl.load_workbook(io.BytesIO(made))
        rows = [[str(c or "") for c in row] for row in book.active.iter_rows(values_only=True)]
    at_column = next(row for row in rows if "Depth" in row).index("Depth")
    assert any(row[at_column] == "2 in" for row in rows if len(row) > at_column)


def test_it_comes_in_with_a_list_by_any_of_its_headings(deep: World) -> None:
    client = as_user(deep.tech)
    file = SimpleUploadedFile("list.csv", b"Ch,Name,Player,How deep (cm)\n7,Bass mic,Bass main,6\n")
    where = client.post(
        reverse("rigs:list_import_new", args=[deep.production.pk]), {"file": file}
    ).headers["Location"]
    assert "Depth: 2 in → 6 cm" in client.get(where).content.decode()
    _confirm(client, where, reason_kind="correction", reason_words="Measured again")
    entry = Input.objects.get()
    assert (entry.depth_m, entry.depth_unit) == (Decimal("0.06"), "cm")


def _confirm(client: Client, where: str, **reason: str) -> None:
    why = {"confirm": "1", **reason}
    (seen,) = re.findall(
        'name="seen" value="([0-9a-f]{64})"', client.post(where, why).content.decode()
    )
    client.post(where, why | {"seen": seen})


@pytest.fixture
def show(deep: World) -> Show:
    """A show at which it is 6 cm, with another microphone."""
    made = make_show(deep)
    form = Page(as_user(deep.tech), below(deep, "show_input", made, deep.input))
    assert form.response.context["form"].fields["depth_m"].help_text.startswith("In the list: 2 in")
    why = {"why": "failure", "words": "Ours fell over."}
    assert form.send(depth_m="6 cm", device=str(deep.other_mic.pk), **why).status == 302
    return made


def test_it_may_be_another_at_one_show(deep: World, show: Show) -> None:
    again = Page(as_user(deep.tech), below(deep, "show_input", show, deep.input))
    assert again.sent["depth_m"] == "6 cm"
    sheet = on_paper(deep, below(deep, "show_inputs_file", show, "pdf"))
    assert "Depth: 2 in → 6 cm" in sheet
    assert "6 cm deep" in sheet
    [told] = api(deep.tech).get(f"/api/v1/shows/{show.pk}/inputs/").json()
    assert (Decimal(told["depth_m"]), told["depth_unit"]) == (Decimal("0.06"), "cm")
    assert {"field": "depth", "heading": "Depth", "old": "2 in", "new": "6 cm"} in told[
        "differences"
    ]
    assert again.send(depth_m="2 in").status == 302
    assert "Depth" not in [cell.heading for cell in row_of(show, Input.objects.get()).differs]
    as_listed(show, Input.objects.get(), by=deep.tech)
    assert row_of(show, Input.objects.get()).difference is None


def test_it_comes_in_with_the_list_of_one_show(deep: World) -> None:
    made, client = make_show(deep), as_user(deep.tech)
    file = SimpleUploadedFile("list.csv", b"Ch,Name,Player,How deep (cm)\n7,Bass mic,Bass main,6\n")
    address = below(deep, "show_list_import", made)
    where = client.post(address, {"file": file}).headers["Location"]
    assert "Depth: 2 in → 6 cm" in client.get(where).content.decode()
    _confirm(client, where, why="failure", words="Ours fell over")
    entry = row_of(made, Input.objects.get()).entry
    assert (entry.depth_m, entry.depth_unit) == (Decimal("0.06"), "cm")
    assert Input.objects.get().depth_unit == "in"


def test_it_is_made_permanent_with_the_substitute(deep: World, show: Show) -> None:
    deep.rig.refresh_from_db()
    entry = Input.objects.select_related("rig").get()
    base = deep.rig.head_number
    make_permanent(show, entry, by=deep.engineer, base=base, words="Stays for the tour.")
    entry = Input.objects.get()
    assert (entry.depth_m, entry.depth_unit) == (Decimal("0.06"), "cm")
    assert entry.device == deep.other_mic


def test_the_api_gives_and_takes_it(deep: World) -> None:
    client = api(deep.tech)
    whole = client.get(f"/api/v1/rigs/{deep.rig.pk}/").json()
    part = whole["snapshot"][str(deep.input.pk)]
    assert {name: part[name] for name in TWO_INCHES} == TWO_INCHES
    change = {
        "base": 2,
        "reason": {"kind": "correction", "words": "Measured again."},
        "edits": [
            {
                "op": "set",
                "part": str(deep.input.pk),
                "kind": "input",
                "fields": {"depth_m": "0.06", "depth_unit": "cm"},
            }
        ],
    }
    answer = client.post(f"/api/v1/rigs/{deep.rig.pk}/changes/", change)
    assert answer.status_code in (200, 201), answer.content
    assert Input.objects.get().depth_unit == "cm"


def test_it_leaves_and_comes_back_with_the_archive(deep: World, tmp_path: Path) -> None:
    digest = export(deep.production, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        assert any(b'"depth_m"' in archive.read(name) for name in archive.namelist())
    forget()
    found = load(tmp_path / "a.zip", digest=digest)
    entry = Input.objects.get()
    assert (entry.depth_m, entry.depth_unit) == (Decimal("0.0508"), "in")
    assert export(found, tmp_path / "b.zip") == digest


def test_what_was_recorded_before_keeps_its_digest(world: World) -> None:
    """A field at its default is in no snapshot: nothing of before knows of the new one."""
    assert "depth" not in json.dumps(world.input.fields())
