"""The pages of one show: its input list, one input that day, what is hired, what is taken away."""

from __future__ import annotations

import io
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from core.models import Show
from core.models.roles import Role
from rigs.changes.edits import Add
from rigs.lists.sheets import read
from rigs.models import ShowHire, ShowInput
from rigs.shows.services import differ
from tests.rigs.paper.test_sheets import text_of
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World

WHY = {"why": "failure", "words": "Ours fell over at load-in."}


def at(name: str, show: Show, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[show.leg.production_id, show.pk, *more])


def test_a_substitute_is_typed_and_shown_beside_what_it_replaces(
    world: World, show: Show, tech: Client
) -> None:
    page = Page(tech, at("show_input", show, world.input.pk))
    assert "In the list: Corvane Hollow 2." in page.html
    page.send(device=world.other_mic.pk, hired_locally="on", phantom="true", **WHY)
    html = Page(tech, at("show_inputs", show)).html
    for said in ("<del>Corvane Hollow 2</del>", "<ins>Corvane Eskvane 4</ins>", "differs"):
        assert said in html
    for said in ("hired locally", "something failed: Ours fell over at load-in."):
        assert said in html
    row = ShowInput.objects.get()
    assert (row.phantom, row.by, row.version) == (True, world.tech, 1)


def test_what_cannot_be_keeps_what_was_typed(world: World, show: Show, tech: Client) -> None:
    page = Page(tech, at("show_input", show, world.input.pk)).send(absent="on", gain_db="38")
    assert "Say what happened." in page.html
    assert page.sent["gain_db"] == "38"
    assert not ShowInput.objects.exists()


def test_words_alone_are_no_difference(world: World, show: Show, tech: Client) -> None:
    page = Page(tech, at("show_input", show, world.input.pk)).send(words="Sounded lovely.")
    assert "Say what is different" in page.html
    assert page.sent["words"] == "Sounded lovely."


def test_somebody_else_s_words_are_not_written_over(world: World, show: Show, tech: Client) -> None:
    page = Page(tech, at("show_input", show, world.input.pk))
    differ(show, world.input, by=world.engineer, gain_db=20)
    again = page.send(gain_db="38")
    assert "Someone else changed this" in again.html
    assert "Now there: 20" in again.html
    assert again.sent["gain_db"] == "38"
    again.send()
    assert ShowInput.objects.get().gain_db == 38


def test_a_difference_taken_back_meanwhile_is_noticed(
    world: World, show: Show, tech: Client
) -> None:
    differ(show, world.input, by=world.engineer, gain_db=20)
    page = Page(tech, at("show_input", show, world.input.pk))
    tech.post(at("show_input_as_listed", show, world.input.pk))
    assert not ShowInput.objects.exists()
    again = page.send(gain_db="38")
    assert "Someone else said meanwhile" in again.html
    again.send()
    assert ShowInput.objects.get().gain_db == 38


def test_an_emptied_form_is_as_in_the_list_again(world: World, show: Show, tech: Client) -> None:
    differ(show, world.input, by=world.tech, gain_db=20)
    Page(tech, at("show_input", show, world.input.pk)).send(gain_db="")
    assert not ShowInput.objects.exists()


def test_the_list_costs_the_same_for_many(world: World, show: Show, tech: Client) -> None:
    differ(show, world.input, by=world.tech, device=world.other_mic, **WHY)
    url = at("show_inputs", show)
    few = queries_of(tech, url)
    ids = [str(uuid4()) for _ in range(12)]
    world.record(*(Add(i, "input", {"name": f"I{n}", "number": n}) for n, i in enumerate(ids, 20)))
    for entry in type(world.input).objects.exclude(pk=world.input.pk):
        differ(show, entry, by=world.tech, device=world.other_mic, **WHY)
    assert queries_of(tech, url) == few


def test_only_what_differs(world: World, show: Show, tech: Client) -> None:
    world.record(Add(str(uuid4()), "input", {"name": "Guitar mic", "number": 8}))
    differ(show, world.input, by=world.tech, gain_db=20)
    assert "Guitar mic" not in Page(tech, at("show_inputs", show) + "?only=differs").html


def test_clashing_channels_are_said(world: World, show: Show, tech: Client) -> None:
    world.record(Add(str(uuid4()), "input", {"name": "Guitar mic", "number": 8}))
    differ(show, world.input, by=world.tech, number=8)
    assert "Used twice: 8" in Page(tech, at("show_inputs", show)).html


def test_the_leg_leads_to_the_lists(world: World, show: Show, tech: Client) -> None:
    differ(show, world.input, by=world.tech, absent=True, **WHY)
    ShowHire.objects.create(show=show, section="stands", what="tall boom", count=3)
    html = tech.get(show.leg.get_absolute_url()).content.decode()
    assert at("show_inputs", show) in html
    assert "1 input changed, 1 not used<" in html
    assert "3 hired locally<" in html


def test_a_retired_show_is_read_only(world: World, show: Show, tech: Client) -> None:
    Show.objects.filter(pk=show.pk).update(retired_at=timezone.now())
    page = Page(tech, at("show_input", show, world.input.pk))
    page.send(gain_db="20")
    assert not ShowInput.objects.exists()


@pytest.mark.parametrize("format", ["csv", "xlsx"])
def test_the_exports_carry_that_day_s_values(
    world: World, show: Show, tech: Client, format: str
) -> None:
    differ(
        show,
        world.input,
        by=world.tech,
        device=world.other_mic,
        hired_locally=True,
        stand="=cmd()",
        **WHY,
    )
    response = tech.get(at("show_inputs_file", show, format))
    headings, line = read(f"list.{format}", response.content)
    told = dict(zip(headings, line, strict=False))
    assert told["Microphone or DI"] == "Corvane Eskvane 4"
    assert told["Stand"] == "=cmd()"
    assert told["Hired locally"] == "yes"
    assert told["Why"] == "something failed: Ours fell over at load-in."
    if format == "csv":
        assert b"'=cmd()" in response.content


@pytest.mark.parametrize("name", ["show_inputs_file", "show_pack_file"])
def test_both_lists_print(world: World, show: Show, tech: Client, name: str) -> None:
    differ(show, world.input, by=world.tech, hired_locally=True)
    response = tech.get(at(name, show, "pdf"))
    assert response.content.startswith(b"%PDF")
    assert tech.get(at(name, show, "exe")).status_code == 404


def test_a_manager_says_what_is_hired(world: World, show: Show) -> None:
    manager = as_user(world.people[Role.MANAGER])
    url = at("hire_new", show) + "?section=devices&what=Corvane+Hollow+2"
    page = Page(manager, url)
    assert page.sent["what"] == "Corvane Hollow 2"
    page.send(count="1", from_whom="the house")
    html = Page(manager, at("show_pack", show)).html
    assert "1 hired" in html
    assert "From the house." in html


def test_what_is_hired_twice_is_refused_in_words(world: World, show: Show, tech: Client) -> None:
    ShowHire.objects.create(show=show, section="stands", what="tall boom")
    page = Page(tech, at("hire_new", show)).send(section="stands", what="tall boom", count="2")
    assert "among the hires of this show already" in page.html


def test_a_hire_is_changed_and_taken_back(world: World, show: Show, tech: Client) -> None:
    hire = ShowHire.objects.create(show=show, section="stands", what="tall boom")
    Page(tech, at("hire_edit", show, hire.pk)).send(count="4")
    hire.refresh_from_db()
    assert (hire.count, hire.version, hire.by) == (4, 2, world.tech)
    tech.post(at("hire_remove", show, hire.pk))
    assert not ShowHire.objects.exists()


def test_the_pack_list_of_a_show_counts_that_day(world: World, show: Show, tech: Client) -> None:
    differ(show, world.input, by=world.tech, device=world.other_mic, hired_locally=True, **WHY)
    ShowHire.objects.create(show=show, section="units", what="A piano nobody plays", count=2)
    grid = read("pack.csv", tech.get(at("show_pack_file", show, "csv")).content)
    lines = {row[1]: row[2:5] for row in grid[1:]}
    assert not any("Hollow 2" in line for line in lines)
    (mic,) = [line for line in lines if line.endswith(": Corvane Eskvane 4")]
    assert lines[mic] == ["1", "1", "0"]
    assert lines["A piano nobody plays"] == ["0", "2", "0"]


def test_an_input_that_is_not_used_needs_no_microphone(
    world: World, show: Show, tech: Client
) -> None:
    differ(show, world.input, by=world.tech, absent=True, **WHY)
    text = io.BytesIO(tech.get(at("show_pack_file", show, "csv")).content).read().decode()
    assert "Hollow 2" not in text


def test_the_api_reads_the_list_of_a_show(world: World, show: Show, tech: Client) -> None:
    differ(show, world.input, by=world.tech, device=world.other_mic, **WHY)
    url = reverse("api-show-inputs", args=[show.pk])
    [row] = tech.get(url).json()
    assert row["device"] == str(world.other_mic.pk)
    assert (row["why"], row["absent"], row["gain_db"]) == ("failure", False, None)
    assert row["differences"][0]["old"] == "Corvane Hollow 2"
    assert as_user(world.outsider).get(url).status_code == 404


def test_the_pack_list_on_paper_is_by_kind_of_thing(world: World, show: Show, tech: Client) -> None:
    """As the page has it: one table a kind; columns about hires only where something is hired."""
    plain = " ".join(text_of(tech.get(at("show_pack_file", show, "pdf")).content))
    assert (
        "Microphones and DIs What Count To bring For "
        "Moving coil, cardioid: Corvane Hollow 2 1 1 Bass mic" in plain
    )
    assert "Section" not in plain
    ShowHire.objects.create(
        show=show,
        section="devices",
        what="Corvane Hollow 2",
        by=world.tech,
        from_whom="a shop in Wrendlow",
    )
    hired = " ".join(text_of(tech.get(at("show_pack_file", show, "pdf")).content))
    for said in ("Hired locally", "About the hire", "From a shop in Wrendlow."):
        assert said in hired
        assert said not in plain
