"""A panel photographed where there is no network: queued on the phone, read when it is back, and
what it shows is told against what is documented then. Turns: as drawn (tests/support/panels)."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import Stage, badge, check_page, go, phone_of, wait_until_sent

pytestmark = pytest.mark.browser
SET_UP = """
from datetime import date
from uuid import uuid4
from core.models import Leg, Show, User
from rigs.changes.edits import Add
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Photo, Rig
from rigs.photos.prepare import prepare
from rigs.photos.services import add_photos
from rigs.revisions.record import record
from tests.rigs.knob_check import pictures
show = Show.objects.create(leg=Leg.objects.get(), held_on=date.today(), room="Cellar")
rig, author = Rig.objects.get(pk="{rig}"), User.objects.get(pk="{tech}")
drawn = pictures.photo(turns=pictures.BEFORE)
stored = prepare(drawn.jpeg, max_bytes=10_000_000, max_pixels=10_000_000)
add_photos(rig, [stored], about="{unit}", caption="Front", author=author)
photo = Photo.objects.get(caption="Front")
edits = []
for i, cap in enumerate(pictures.circles(drawn)):
    part, setting = str(uuid4()), ("10:00", "12:40", "3:40", "12:00")[i]
    edits.append(Add(part, "control", {{
        "unit": "{unit}", "name": f"Dial {{i}}", "style": "clock", "setting": setting,
        "position": i + 5}}))
    edits.append(Add(str(uuid4()), "pin", {{
        "photo": str(photo.pk), "about": part, "x": f"{{cap.x:.4f}}", "y": f"{{cap.y:.4f}}",
        "cap_radius": f"{{cap.radius:.4f}}", "cap_setting": setting, "position": i}}))
rig = Rig.objects.get(pk="{rig}")
record(rig, edits, author=author, base=rig.head_number, reason=Reason(ReasonKind.ROOM, "Marked."))
now = pictures.photo(turns=pictures.AFTER, off=12.0).jpeg
print(json.dumps([str(show.pk), str(photo.pk), base64.b64encode(now).decode()]))
"""
FOUND = """
from rigs.models import PanelCheck
print(json.dumps([[str(c.show_id), str(c.pk)] for c in PanelCheck.objects.all()]))
"""


def test_a_panel_photographed_without_a_network_is_read_when_it_is_back(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    words = {key: stage.world[key] for key in ("rig", "unit")}
    code = "import base64\n" + SET_UP.format(**words, tech=stage.world["users"]["tech"])
    show, photo, jpeg = stage.server.run(code)
    now = tmp_path / "now.jpg"
    now.write_bytes(base64.b64decode(jpeg))
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (phone, page):
        stage.server.stop()
        go(page, stage, f"{stage.world['place']}/shows/{show}/line-check/")
        page.get_by_role("link", name="Panels against photos").click()
        page.get_by_role("link", name="Check").filter(has_text="Front").click()
        page.set_input_files("input[type=file]", now)
        page.get_by_role("button", name="Check", exact=True).click()
        page.wait_for_url("**/waiting/")
        expect(page.locator("[data-waiting-list]")).to_contain_text("now.jpg")
        expect(badge(page)).to_contain_text("1")
        check_page(page)
        phone.close()  # the photo outlives the browser
        assert stage.server.run(FOUND) == []

        page = phone.open()
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        expect(badge(page)).to_be_hidden()
        ((at, check),) = stage.server.run(FOUND)
        assert at == show
        # Read in the process that opens what somebody sent, not canned.
        go(page, stage, f"{stage.rig}checks/{check}/")
        main = page.locator("main")
        rows = main.locator(".knob-row")
        expect(rows).to_have_count(4)
        for name, said in (
            ("Dial 0", "As documented: 10:00"),
            ("Dial 1", "12:40 → about"),
            ("Dial 2", "As documented: 3:40"),
            ("Dial 3", "12:00 → about"),
        ):
            expect(rows.filter(has_text=name)).to_contain_text(said)
        check_page(page)
