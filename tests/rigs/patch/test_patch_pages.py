"""The pages of the patch: ways of many inputs and of one, boxes, what is lent, files, who may."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from core.models import Show
from core.models.roles import Role
from core.search.backend import search
from rigs.checks.run import stage_findings
from rigs.lists.sheets import read
from rigs.models import Input, LentLine, PatchBox, PatchBoxAtShow, PatchChange, PatchLine, PatchRun
from rigs.patch.rows import patch_and_rows
from rigs.patch.services import add_run, retire_box, save_box, write_lines
from rigs.shows.stage import stage_of
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.patch.stages import add_inputs, make_box, make_snake
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def box(world: World) -> PatchBox:
    return make_box(world)


def at(world: World, name: str, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, *more])


def lines_at(world: World, show: Show | None = None) -> dict[str, str]:
    """The ways of each input, by its name."""
    _, rows = patch_and_rows(world.production, show)
    return {row.name: row.line.path.replace("\u00a0", " ") for row in rows}


def test_another_box_stands_there_at_one_show(
    world: World, box: PatchBox, show: Show, tech: Client
) -> None:
    snake = make_snake(world, box)
    add_inputs(world, 20, 2)
    Page(tech, at(world, "patch_fill")).send(lines="20–21 → D 1–2")
    usual = lines_at(world)
    page = Page(tech, at(world, "show_patch_box", show.pk, snake.pk))
    wrong = page.send(name="House snake", ways="12", runs="1–8 → A 12–19")
    assert "there is no way A 19" in str(wrong.response.context["form"].errors["runs"])
    assert 'value="House snake"' in wrong.html
    # What is in use stays there.
    small = page.send(ways="1", runs="1 → A 1")
    assert "Way D 2 is in use that night" in str(small.response.context["form"].errors["ways"])
    sent = page.send(name="House snake", ways="12", runs="1–12 → A 5–16", words="Theirs.")
    assert sent.response.status_code == 302
    assert lines_at(world, show) == usual | {"Line 20": "D 1 → A 5", "Line 21": "D 2 → A 6"}
    html = Page(tech, at(world, "show_patch", show.pk)).html
    assert "House snake (D)" in html
    assert "this show" in html
    # The patch of all shows has nothing of it, and neither has the next show.
    assert lines_at(world) == usual
    assert lines_at(world, make_show(world)) == usual
    assert "House snake" not in Page(tech, at(world, "patch")).html
    assert PatchBox.objects.get(pk=snake.pk).name == "Drum snake"
    # A way that only the one of tonight has.
    fill = Page(tech, at(world, "show_patch_fill", show.pk))
    assert fill.send(lines="21 → D 12").response.status_code == 302
    assert lines_at(world, show)["Line 21"] == "D 12 → A 16"
    for _ in range(2):  # pressed twice: nothing is left to do, and it says the same
        answer = tech.post(at(world, "show_patch_box_as_usual", show.pk, snake.pk))
        assert answer.status_code == 302
    assert lines_at(world, show)["Line 20"] == usual["Line 20"]
    told = [each.words[0] for each in PatchChange.objects.filter(show=show)]
    assert told.count("D: as for all shows") == 1


def test_another_box_is_carried_on_only_if_asked(
    world: World, box: PatchBox, show: Show, tech: Client
) -> None:
    later = Show.objects.create(leg=show.leg, held_on=show.held_on, room="Later")
    page = Page(tech, at(world, "show_patch_box", show.pk, box.pk))
    page.send(name="House fern", runs="desk")
    assert [row.show for row in PatchBoxAtShow.objects.all()] == [show]
    (hit,) = search(world.production, "fern").hits
    assert hit.path == f"{at(world, 'show_patch', show.pk)}#box-{box.pk}"
    assert f'id="box-{box.pk}"' in Page(tech, at(world, "show_patch", show.pk)).html
    page = Page(tech, at(world, "show_patch_box", show.pk, box.pk))
    page.send(name="House box", runs="desk", later_too="on")
    assert set(PatchBoxAtShow.objects.values_list("show", flat=True)) == {show.pk, later.pk}
    for each in (show, later):
        tech.post(at(world, "show_patch_box_as_usual", each.pk, box.pk))
    assert search(world.production, "fern").hits == []
    player = as_user(world.people[Role.PLAYER])
    refused = player.post(at(world, "show_patch_box", show.pk, box.pk), {"name": "Mine"})
    assert refused.status_code == 403


def test_many_inputs_get_their_ways_at_once(world: World, box: PatchBox, tech: Client) -> None:
    add_inputs(world, 20, 4)
    page = Page(tech, at(world, "patch_fill")).send(lines="20–23 → A 1–4, monitor 9")
    assert page.response.status_code == 302
    ways = lines_at(world)
    assert [ways[f"Line {n}"] for n in (20, 23)] == ["A 1", "A 4"]
    assert list(
        PatchLine.objects.order_by("monitor_channel").values_list("monitor_channel", flat=True)
    ) == [9, 10, 11, 12]
    change = PatchChange.objects.first()
    assert change is not None
    assert change.words[0] == "Line 20: A 1, monitor 9"
    assert (change.by_name, change.show) == (world.tech.name, None)
    assert change.by_name in Page(tech, at(world, "patch_history")).html


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("20 → A 17", "there is no way A 17"),
        ("77 → A 1", "No input has channel 77."),
        ("Nobody → A 1", "No input is called “Nobody”."),
        ("20 → A 1\n20–21 → A 3", "Line 2: Line 20 stands in an earlier line, too."),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_lost(
    world: World, box: PatchBox, tech: Client, lines: str, told: str
) -> None:
    add_inputs(world, 20, 2)
    page = Page(tech, at(world, "patch_fill")).send(lines=lines)
    assert told in page.html
    assert page.sent["lines"].split() == lines.split()
    assert not PatchLine.objects.exists()


def test_a_show_differs_and_goes_back(
    world: World, box: PatchBox, show: Show, tech: Client
) -> None:
    (entry,) = add_inputs(world, 20, 1)
    Page(tech, at(world, "patch_fill")).send(lines="20 → A 1")
    Page(tech, at(world, "show_patch_fill", show.pk)).send(lines="20 → A 5")
    assert lines_at(world)["Line 20"] == "A 1"
    assert lines_at(world, show)["Line 20"] == "A 5"
    page = Page(tech, at(world, "show_patch", show.pk))
    assert "1 line changed for this show" in page.html
    told = Page(tech, at(world, "show_patch_history", show.pk)).html
    assert "for all shows" in told
    assert "Line 20: A 1 → A 5" in told
    assert "A 5" not in Page(tech, at(world, "patch_history")).html
    # What is as for all shows is no difference, however it is said.
    Page(tech, at(world, "show_patch_line", show.pk, entry.pk)).send(way="1")
    assert PatchLine.objects.filter(show=show).count() == 0
    Page(tech, at(world, "show_patch_fill", show.pk)).send(lines="20 → none")
    assert lines_at(world, show)["Line 20"] == ""
    tech.post(at(world, "show_patch_line_as_usual", show.pk, entry.pk))
    assert lines_at(world, show)["Line 20"] == "A 1"


def test_a_line_is_not_written_over(world: World, box: PatchBox, tech: Client) -> None:
    (entry,) = add_inputs(world, 20, 1)
    page = Page(tech, at(world, "patch_line", entry.pk))
    values = {entry.pk: {"box": box, "way": 3}}
    write_lines(world.production, values, names={entry.pk: "Line 20"}, by=world.engineer)
    again = page.send(box=box.pk, way="4")
    assert "it is at A\u00a03 now" in again.html
    assert again.sent["way"] == "4"
    again.send()
    assert lines_at(world)["Line 20"] == "A 4"


def test_a_way_that_is_not_there_stands_at_its_field(
    world: World, box: PatchBox, tech: Client
) -> None:
    (entry,) = add_inputs(world, 20, 1)
    page = Page(tech, at(world, "patch_line", entry.pk)).send(box=box.pk, way="40")
    assert page.response.context["form"].errors["way"] == [
        "Stage box A has ways 1 to 16: there is no way A 40."
    ]
    assert page.sent["way"] == "40"


def test_a_box_is_added_changed_and_taken_off(world: World, tech: Client) -> None:
    Page(tech, at(world, "patch_box_new")).send(name="Stage box A", mark="A", ways="12")
    box = PatchBox.objects.get()
    assert (box.ways, box.kind, box.to_desk) == (12, "box", True)
    refused = Page(tech, at(world, "patch_box_new")).send(name="Other", mark="a", ways="8")
    assert "Another box is called so." in refused.html
    (entry,) = add_inputs(world, 20, 1)
    write_lines(
        world.production,
        {entry.pk: {"box": box, "way": 9}},
        names={entry.pk: "Line 20"},
        by=world.tech,
    )
    smaller = Page(tech, at(world, "patch_box", box.pk)).send(ways="8")
    assert "Way A 9 is in use" in smaller.html
    with pytest.raises(ValidationError, match="Way A 9 is in use"):
        retire_box(box, by=world.tech)
    Page(tech, at(world, "patch_fill")).send(lines="20 → none")
    tech.post(at(world, "patch_box_retire", box.pk))
    assert not PatchBox.objects.live().exists()


def test_a_sub_snake_runs_into_the_box(world: World, box: PatchBox, tech: Client) -> None:
    snake = make_snake(world, box)
    add_inputs(world, 20, 2)
    Page(tech, at(world, "patch_fill")).send(lines="20–21 → D 1")
    assert lines_at(world)["Line 21"] == "D 2 → A 10"
    html = Page(tech, at(world, "patch")).html
    assert "Spare: 1–8 (8)." in html  # of A: D takes the others
    assert "Spare: 3–8 (6)." in html
    for target_first, told in (("9", "Something is plugged in there"), ("10", "no way A 17")):
        other = make_box(world, "E" + target_first, ways=8, to_desk=False)
        page = Page(tech, at(world, "patch_run_new", other.pk))
        assert told in page.send(target=box.pk, target_first=target_first).html
    with pytest.raises(ValidationError, match="back to where it came from"):
        add_run(PatchRun(source=box, first=9, target=snake, target_first=1, count=1), by=world.tech)
    run = PatchRun.objects.get()
    tech.post(at(world, "patch_run_remove", run.pk))
    assert lines_at(world)["Line 21"] == "D 2"


def test_words_are_read_after_they_were_looked_at(
    world: World, box: PatchBox, tech: Client
) -> None:
    add_inputs(world, 20, 1, stage_position="Box A 12")
    add_inputs(world, 30, 1, stage_position="behind the riser")
    add_inputs(world, 40, 1, stage_position="A99")
    page = Page(tech, at(world, "patch_fill") + "?from=words")
    assert page.sent["lines"].strip() == "20 → A 12"
    assert "“behind the riser” names no way of a box" in page.html
    assert "there is no way A 99" in page.html
    assert not PatchLine.objects.exists()
    page.send()
    assert lines_at(world)["Line 20"] == "A 12"
    assert Input.objects.get(number=30).stage_position == "behind the riser"


@pytest.mark.parametrize("format", ["csv", "xlsx"])
@pytest.mark.parametrize("order", ["box", "channel", "position"])
def test_a_file_comes_back_as_it_was(
    world: World, box: PatchBox, tech: Client, format: str, order: str
) -> None:
    make_snake(world, box)
    add_inputs(world, 20, 4)
    said = "20 → A 1, monitor 4, phantom from monitor\n21 → D 2\n22 → A 5, split active"
    Page(tech, at(world, "patch_fill")).send(lines=said)
    before, values = lines_at(world), set(PatchLine.objects.values_list("input", "split"))
    data = tech.get(at(world, "patch_file", format) + f"?by={order}").content
    grid = read(f"list.{format}", data)
    assert grid[0][:5] == ["Channel", "Input", "Player", "Box", "Way"]
    Page(tech, at(world, "patch_fill")).send(lines="20–23 → none")
    PatchLine.objects.all().delete()
    sent = SimpleUploadedFile(f"list.{format}", data)
    response = tech.post(at(world, "patch_read"), {"file": sent})
    page = Page(tech, at(world, "patch_fill"), response)
    assert not PatchLine.objects.exists()
    page.send()
    assert lines_at(world) == before
    assert set(PatchLine.objects.values_list("input", "split")) == values
    assert PatchLine.objects.get(monitor_channel=4).phantom_from == "monitor"


def test_a_file_that_is_no_list(world: World, box: PatchBox, tech: Client) -> None:
    sent = SimpleUploadedFile("list.csv", b"One,Two\n1,2\n")
    assert "needs headings" in tech.post(at(world, "patch_read"), {"file": sent}).content.decode()


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("order", ["box", "channel", "monitor"])
def test_strips_name_every_way(
    world: World, box: PatchBox, show: Show, tech: Client, order: str, paper: str
) -> None:
    add_inputs(world, 20, 2)
    Page(tech, at(world, "patch_fill")).send(lines="20–21 → A 3, monitor 30")
    for name, more in (("patch_strips", ()), ("show_patch_strips", (show.pk,))):
        url = at(world, name, *more) + f"?by={order}&mm=16&paper={paper}"
        text = " ".join(text_of(tech.get(url).content))
        assert "Line 20" in text
        assert {"box": "A 16", "channel": "21", "monitor": "31"}[order] in text


def test_a_strip_too_narrow_is_refused_in_words(world: World, box: PatchBox, tech: Client) -> None:
    response = tech.get(at(world, "patch_strips") + "?mm=2", follow=True)
    assert "greater than or equal to 8" in response.content.decode()


@pytest.mark.parametrize("order", ["box", "channel", "position"])
def test_lists_on_paper(world: World, box: PatchBox, tech: Client, order: str) -> None:
    add_inputs(world, 20, 1)
    Page(tech, at(world, "patch_fill")).send(lines="20 → A 3")
    text = " ".join(text_of(tech.get(at(world, "patch_file", "pdf") + f"?by={order}").content))
    assert "Line 20" in text


def test_lines_lent_at_a_show_are_seen(
    world: World, box: PatchBox, show: Show, tech: Client
) -> None:
    add_inputs(world, 20, 2)
    Page(tech, at(world, "patch_fill")).send(lines="20–21 → A 9")
    page = Page(tech, at(world, "show_lent_new", show.pk))
    wrong = page.send(
        act="The Kestrel Lamps", what="Four voices", box=box.pk, first="14", count="4"
    )
    assert "there is no way A 17" in wrong.html
    wrong.send(first="10")
    assert LentLine.objects.get().ways == "A 10–13"
    html = Page(tech, at(world, "show_patch", show.pk)).html
    assert "Four voices, lent to The Kestrel Lamps" in html
    (finding,) = [f for f in stage_findings(stage_of(show)) if f.rule == "way_twice"]
    assert "Line 21" in finding.title
    assert "The Kestrel Lamps" in finding.title
    check = tech.get(reverse("notes:line_check", args=[world.production.pk, show.pk]))
    html = check.content.decode()
    assert "A\u00a09" in html
    assert "Four voices, lent to The Kestrel Lamps: A 10–13" in html
    LentLine.objects.update(plugged=True)
    assert not [f for f in stage_findings(stage_of(show)) if f.rule == "way_twice"]
    tech.post(at(world, "show_lent_remove", show.pk, LentLine.objects.get().pk))
    assert not LentLine.objects.exists()


def test_who_may(world: World, box: PatchBox, show: Show) -> None:
    crew = as_user(world.people[Role.CREW])
    player = as_user(world.people[Role.PLAYER])
    assert crew.get(at(world, "patch_fill")).status_code == 403
    assert crew.get(at(world, "show_patch_fill", show.pk)).status_code == 200
    assert player.get(at(world, "show_patch_fill", show.pk)).status_code == 403
    assert player.get(at(world, "show_patch", show.pk)).status_code == 200


def test_a_retired_show_takes_no_changes(
    world: World, box: PatchBox, show: Show, tech: Client
) -> None:
    add_inputs(world, 20, 1)
    show.retire()
    page = Page(tech, at(world, "show_patch_fill", show.pk)).send(lines="20 → A 1")
    assert "This show is retired" in page.html
    assert not PatchLine.objects.exists()


def test_a_way_is_found(world: World, box: PatchBox, tech: Client) -> None:
    add_inputs(world, 20, 1)
    Page(tech, at(world, "patch_fill")).send(lines="20 → A 12")
    hits = search(world.production, "A12").hits
    assert any(f"#box-{box.pk}" in hit.path for hit in hits)
    box.name = "Left box"
    save_box(box, by=world.tech)
    assert any(f"#box-{box.pk}" in hit.path for hit in search(world.production, "Left box").hits)


@pytest.mark.parametrize("order", ["box", "channel", "position"])
def test_pages_take_as_many_queries_for_96_ways(
    world: World, show: Show, tech: Client, order: str
) -> None:
    first = make_box(world, "A", ways=96)
    add_inputs(world, 20, 1)
    Page(tech, at(world, "patch_fill")).send(lines="20 → A 1")
    urls = [at(world, "patch"), at(world, "show_patch", show.pk), at(world, "patch_file", "pdf")]
    few = [queries_of(tech, f"{url}?by={order}") for url in urls]
    add_inputs(world, 21, 95)
    second = make_snake(world, make_box(world, "B", ways=32))
    Page(tech, at(world, "patch_fill")).send(lines="21–115 → A 2")
    Page(tech, at(world, "show_patch_fill", show.pk)).send(lines="20–23 → D 1")
    assert PatchLine.objects.filter(box=first).count() == 96
    assert PatchLine.objects.filter(box=second).count() == 4
    assert [queries_of(tech, f"{url}?by={order}") for url in urls] == few
    assert max(few) < 30


def test_the_api_reads_and_writes(world: World, box: PatchBox, show: Show, tech: Client) -> None:
    add_inputs(world, 20, 2)
    url = reverse("api-patch", args=[world.production.pk])
    sent = {"lines": "20–21 → A 1"}
    response = tech.post(url, sent, content_type="application/json")
    assert response.json() == {"changed": ["Line 20: A 1", "Line 21: A 2"]}
    found = tech.get(url).json()
    assert found["spare"][0] == "A 3"
    assert [line["ways"] for line in found["lines"] if line["name"] == "Line 21"] == [["A 2"]]
    at_show = reverse("api-show-patch", args=[show.pk])
    refused = tech.post(at_show, {"lines": "20 → A 30"}, content_type="application/json")
    assert refused.status_code == 400
    assert "there is no way A 30" in str(refused.json())
    tech.post(at_show, {"lines": "20 → none"}, content_type="application/json")
    lines = tech.get(at_show).json()["lines"]
    assert [(each["ways"], each["differs"]) for each in lines if each["name"] == "Line 20"] == [
        ([], True)
    ]
