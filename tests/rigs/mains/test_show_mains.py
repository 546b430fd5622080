"""The mains of a show: by drop, summed, with what does not fit the house."""

from __future__ import annotations

import csv
import io
from typing import Any
from uuid import uuid4

import pypdfium2
import pytest
from django.urls import reverse
from django.utils import translation

from core.models import Show
from rigs.changes.edits import Add, Set
from rigs.mains.show_mains import NO_CIRCUIT, as_rows, mains_of, state_of_mains
from rigs.models import MainsDrop, UnitAtShow
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World


def add(world: World, **fields: Any) -> str:
    part = str(uuid4())
    world.record(Add(part, "unit", fields))
    return part


@pytest.fixture
def show(world: World) -> Show:
    """A house of 120 V and 60 Hz; the head takes 1.6 A at 230 V from the drop Backline of 4 A, a
    combo 60 W; a pedal supply names no circuit."""
    MainsDrop.objects.create(
        production=world.production, name="Backline", volts=230, amps=4, place="Upstage"
    )
    fields = {"mains_circuit": "backline, 230 V", "mains_rating": "230 V, 50 Hz, 1.6 A"}
    world.record(Set(str(world.unit.pk), "unit", fields))
    combo = add(world, name="Combo", gear="combo", mains_circuit="Backline", position=1)
    world.record(Add(str(uuid4()), "fact", {"unit": combo, "key": "mains_power", "value": "60"}))
    add(world, name="Supply", gear="power", mains_rating="100–240 V, 50/60 Hz", position=2)
    add(world, name="Drive", gear="pedal")
    return make_show(world, mains_volts=120, mains_hz=60)


def test_units_stand_by_drop_with_its_sum(world: World, show: Show) -> None:
    """1.6 A at 230 V are 3.07 A at 120 V; 60 W are 0.5 A."""
    mains = mains_of(show)
    assert [(drop.name, [each.unit.name for each in drop.plugged]) for drop in mains.drops] == [
        ("Backline", ["Head", "Combo"]),
        (NO_CIRCUIT, ["Supply"]),
    ]
    backline, loose = mains.drops
    assert backline.words == "3.57 A of 4 A"
    assert not backline.is_over
    assert loose.words == "1 unit not known"
    assert [each.unit.name for each in mains.wrong] == ["Head"]
    (head,) = mains.wrong
    assert "its plate says 50 Hz alone" in head.words
    assert "Backline is to have 230 V; the house has 120 V." in mains.unknown
    assert "1 unit whose rating plate says no volts: Combo (Ines Halloran)." in mains.unknown
    assert "1 unit without amps or watts: Supply (Ines Halloran)." in mains.unknown


def test_a_drop_that_carries_less_than_is_plugged_in_says_so(world: World, show: Show) -> None:
    MainsDrop.objects.update(amps=3)
    assert mains_of(show).drops[0].is_over
    html = as_user(world.tech).get(at(world, "rigs:show_mains", show.pk)).content.decode()
    assert "More than it is stated to carry." in html


def test_without_a_word_of_the_house_the_drop_counts(world: World, show: Show) -> None:
    Show.objects.update(mains_volts=None, mains_hz=None)
    mains = mains_of(Show.objects.get())
    head, combo = mains.drops[0].plugged
    assert head.at.words == "runs here as it is"
    assert combo.amps == "0.26"
    assert "The volts and Hz of the house are not noted: they stand on the show." in mains.unknown


def test_the_page_says_it_and_costs_the_same_for_many(world: World, show: Show) -> None:
    tech, url = as_user(world.tech), at(world, "rigs:show_mains", show.pk)
    html = tech.get(url).content.decode()
    for said in (
        "The house has 120 V, 60 Hz.",
        "needs a transformer to 230 V of 552 VA or more",
        "licensed electrician",
        "Together 3.57 A of 4 A.",
        "Inrush when things are switched on is not in these figures.",
    ):
        assert said in html
    few = queries_of(tech, url)
    for number in range(10):
        add(world, name=f"Amp {number}", gear="combo", mains_circuit=f"Circuit {number}")
    assert queries_of(tech, url) == few
    assert as_user(world.outsider).get(url).status_code == 404


def test_a_show_without_gear_says_what_it_is_for(world: World) -> None:
    show = make_show(world)
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    html = as_user(world.tech).get(at(world, "rigs:show_mains", show.pk)).content.decode()
    assert "Nothing takes mains yet" in html


def test_the_house_is_said_on_the_show(world: World, show: Show) -> None:
    page = Page(as_user(world.tech), at(world, "core:show_edit", show.pk))
    back = page.send(mains_volts="12", mains_hz="55")
    assert set(back.response.context["form"].errors) == {"mains_volts", "mains_hz"}
    assert back.sent["mains_volts"] == "12"
    assert page.send(mains_volts="230", mains_hz="50").status == 302
    card = as_user(world.tech).get(at(world, "core:leg", show.leg_id)).content.decode()
    assert "the house has 230 V" in card


def test_files_have_every_unit_and_the_sum_of_each_drop(world: World, show: Show) -> None:
    tech = as_user(world.tech)
    data = tech.get(at(world, "rigs:show_mains_file", show.pk, "csv")).content
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    assert rows[1][:7] == [
        *["Backline", "Head", "Ines Halloran", "Tarn", "230 V, 50 Hz, 1.6 A", "", "3.07"]
    ]
    assert rows[1][8] == "552"
    assert rows[3][6:8] == ["3.57", "3.57 A of 4 A"]


def test_in_any_language_programs_read_the_same_figures(world: World, show: Show) -> None:
    tech, german = as_user(world.tech), {"accept-language": "de"}
    file, page = (
        tech.get(at(world, name, show.pk, *ending), headers=german).content.decode("utf-8-sig")
        for name, ending in (("rigs:show_mains_file", ["csv"]), ("rigs:show_mains", []))
    )
    assert next(csv.reader(io.StringIO(file.split("\n", 1)[1])))[6] == "3.07"
    assert "3,07" in page
    stated = state_of_mains(mains_of(show), show)
    with translation.override("de"):
        assert state_of_mains(mains_of(show), show) == stated


@pytest.mark.parametrize(("paper", "points"), [("a4", (842, 595)), ("us-letter", (792, 612))])
def test_on_paper(world: World, show: Show, paper: str, points: tuple[int, int]) -> None:
    """Sizes in points, across: ISO 216 A4 297 × 210 mm, US Letter 11 × 8.5 in."""
    url = at(world, "rigs:show_mains_file", show.pk, "pdf")
    pdf = as_user(world.tech).get(url, {"paper": paper}).content
    assert tuple(round(side) for side in pypdfium2.PdfDocument(pdf)[0].get_size()) == points
    text = " ".join(text_of(pdf))
    for said in ("The house: 120 V, 60 Hz.", "552", "licensed electrician"):
        assert said in text


def test_the_api_reads_both_lists(world: World, show: Show) -> None:
    tech = as_user(world.tech)
    mains = tech.get(reverse("api-show-mains", args=[show.pk])).json()
    head = mains["drops"][0]["plugged"][0]
    assert (head["fit"], head["transformer_va"], head["other_hz"]) == ("transformer", 552, True)
    carnet = tech.get(reverse("api-carnet", args=[world.production.pk])).json()
    assert carnet["sums"]["pieces"] == 5
    assert as_user(world.outsider).get(reverse("api-show-mains", args=[show.pk])).status_code == 404


def test_what_came_instead_has_a_plate_of_its_own(world: World, show: Show) -> None:
    said = {"maker": "Brack", "model": "Four Hundred", "gear": "valve_head", "why": "hire"}
    UnitAtShow.objects.create(show=show, unit=world.unit, what="replaced", **said)
    (head, _) = mains_of(show).drops[0].plugged
    assert "Brack Four Hundred" in head.tonight
    assert (head.plate, head.at.amps, head.at.words) == ("", None, "not known")
    assert "1.6 A" not in str(as_rows(mains_of(show))[1])
