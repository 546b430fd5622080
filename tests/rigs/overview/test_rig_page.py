"""One rig on one page, in the order people ask."""

from __future__ import annotations

from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.utils.timezone import localtime

from core import clock
from core.hooks import hooks_of
from rigs import places
from rigs.changes.edits import Add, Set
from rigs.changes.reasons import Reason, ReasonKind
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World, input_fields, make_world


def test_it_answers_in_order(world: World) -> None:
    html = Page(as_user(world.people["crew"]), at(world, "rig")).html
    marks = [
        'id="sound"',
        'id="path"',
        'id="units"',
        'id="inputs"',
        'id="photos"',
        'id="why"',
        'id="open"',
    ]
    places = [html.index(mark) for mark in marks]
    assert places == sorted(places)


def test_it_tells_units_settings_microphones_and_placement(world: World) -> None:
    html = Page(as_user(world.tech), at(world, "rig")).html
    for told in (
        "Warm, woody, no clank.",
        "Valve amplifier head, Tarn",
        "2:30",
        "7 Bass mic",
        "Corvane Hollow 2",
        "On Head, cone edge, 35 mm (1.4 in)",
        "35 mm (1.4 in)",
        "20°",
    ):
        assert told in html, told


@pytest.mark.parametrize("aim", ["between dust cap and edge", "over the bridge", "cone edge"])
def test_where_a_microphone_stands_reads_with_any_words(world: World, aim: str) -> None:
    reason = Reason(ReasonKind.CORRECTION, "Read off the stage.")
    world.record(Set(str(world.input.pk), "input", {"aimed_at": aim}), reason=reason)
    html = " ".join(Page(as_user(world.tech), at(world, "rig")).html.split())
    assert f"On Head, {aim}, 35 mm" in html
    assert f"at {aim}" not in html


def test_its_top_says_number_and_date_of_the_newest_change_and_no_digest(world: World) -> None:
    with clock.set_to(datetime(2026, 3, 7, 18, 20, tzinfo=UTC)):
        world.turn("3:00")
    world.rig.refresh_from_db()
    client = as_user(world.people["crew"])
    html = Page(client, at(world, "rig")).html
    newest = localtime(datetime(2026, 3, 7, 18, 20, tzinfo=UTC))
    assert f"change 2, {newest.day} Mar 2026, {newest:%H:%M}" in html
    assert world.rig.head_digest[:8] not in html
    details = Page(client, at(world, "revision", 2)).html
    assert world.rig.head_digest in details


def test_without_anything_downstream_the_sound_is_shown_all_the_same(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    for hook in hooks_of(places).values():
        monkeypatch.setattr(hook, "providers", [])
    html = Page(as_user(world.tech), at(world, "rig")).html
    assert "Warm, woody, no clank." in html
    assert 'id="why"' not in html


def test_readers_are_not_offered_what_they_may_not(world: World) -> None:
    html = Page(as_user(world.people["crew"]), at(world, "rig")).html
    for offered in ("Add a unit", "Add an input", "Move Head", "/edit/", "/copy/"):
        assert offered not in html, offered


def test_hostile_and_long_names_stay_text(world: World) -> None:
    nasty = "<img src=x onerror=alert(1)>" + "W" * 80
    world.record(
        Set(str(world.unit.pk), "unit", {"name": nasty}),
        Set(str(world.input.pk), "input", {"aimed_at": nasty, "name": "<b>"}),
        Set(str(world.rig.pk), "rig", {"sound": "<script>x</script>"}),
        reason=HIRE,
    )
    html = Page(as_user(world.tech), at(world, "rig")).html
    assert "<img src=x" not in html
    assert "<script>x" not in html
    assert "&lt;img src=x onerror=alert(1)&gt;WWW" in html


def test_a_foreign_rig_is_not_found(world: World) -> None:
    other = make_world("Elsewhere")
    client = as_user(world.tech)
    assert client.get(at(world, "rig").replace(str(world.rig.pk), str(uuid4()))).status_code == 404
    assert (
        client.get(at(world, "rig").replace(str(world.rig.pk), str(other.rig.pk))).status_code
        == 404
    )
    assert client.get(at(other, "rig")).status_code == 404


def test_the_queries_do_not_grow_with_the_rig(world: World) -> None:
    client, url = as_user(world.tech), at(world, "rig")
    # A second unit with everything, so that no kind of thing is asked for the first time below.
    grow(world, 1)
    client.get(url)
    few = queries_of(client, url)
    grow(world, 20)
    assert queries_of(client, url) == few <= 25


def grow(world: World, by: int) -> None:
    edits = []
    for number in range(by):
        unit = str(uuid4())
        edits += [
            Add(unit, "unit", {"name": f"Pedal {number}", "gear": "pedal"}),
            Add(str(uuid4()), "control", {"unit": unit, "name": "Level", "setting": "1:00"}),
            Add(str(uuid4()), "link", {"source": unit, "target": str(world.unit.pk)}),
            Add(str(uuid4()), "input", input_fields(world.unit.pk, world.other_mic.pk)),
        ]
    world.record(*edits)


def test_a_path_with_links_in_it_is_not_called_an_image(world: World) -> None:
    html = Page(as_user(world.tech), at(world, "rig")).html
    drawing = html[html.index('class="drawing path"') :]
    assert 'role="group"' in drawing[: drawing.index(">")]


def test_a_kit_is_shown_from_above_and_a_rig_without_drums_is_not(world: World) -> None:
    tech = as_user(world.tech)
    assert 'id="kit"' not in Page(tech, at(world, "rig")).html
    world.record(Add(str(uuid4()), "unit", {"name": "Snare", "gear": "drum"}))
    html = Page(tech, at(world, "rig")).html
    assert "Nothing of this kit has been measured" in html
    world.record(Set(str(world.input.pk), "input", {"plan_right_m": "-0.3", "plan_front_m": "0.4"}))
    html = Page(tech, at(world, "rig")).html
    assert "30 cm left, 40 cm in front" in html
    assert "50 cm in plan" in html  # 3, 4, 5
    assert "Not measured, so not drawn: Snare." in html


def test_moving_a_microphone_in_the_plan_needs_a_reason(world: World) -> None:
    form = Page(as_user(world.tech), at(world, "input_edit", world.input))
    first = form.send(plan_right_m="30 cm", plan_front_m="40 cm")
    assert first.status == 302
    again = Page(as_user(world.tech), at(world, "input_edit", world.input))
    assert "As the drummer sits, tape held level" in again.html
    assert again.send(plan_right_m="35 cm").status == 200
    moved = again.send(plan_right_m="35 cm", reason_kind="room", reason_words="Narrow riser.")
    assert moved.status == 302
