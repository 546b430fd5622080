"""The findings of a show: from the database to the page."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client

from core.models import Player, Show
from rigs.changes.edits import Add, Retire, Set
from rigs.checks.findings import Finding
from rigs.checks.run import stage_findings
from rigs.models import Device, Input, ShowFindingWords, ShowHire, ShowRig
from rigs.revisions.record import record
from rigs.shows.services import differ
from rigs.shows.stage import stage_of
from tests.support.api import api
from tests.support.pages import as_user, queries_of
from tests.support.pages import at as address
from tests.support.rig_pages import Page
from tests.support.world import HIRE, World, make_rig


def page(world: World, show: Show, client: Client) -> str:
    response = client.get(address(world, "rigs:show_findings", show.pk))
    assert response.status_code == 200
    return str(response.content.decode())


def second_input(world: World, **more: Any) -> str:
    part, mic = str(uuid4()), str(world.mic.pk)
    world.record(Add(part, "input", {"name": "Second", "device": mic, **more}))
    return part


def own(world: World, number: int) -> None:
    Device.objects.filter(pk=world.mic.pk).update(owned=number)


def test_a_microphone_that_is_owned_once_and_wanted_twice(
    world: World, show: Show, tech: Client
) -> None:
    second = second_input(world)
    own(world, 1)
    assert f"{world.mic}: 1 too few for this show" in page(world, show, tech)
    ShowHire.objects.create(show=show, section="devices", what=str(world.mic), by=world.tech)
    assert "too few" not in page(world, show, tech)
    ShowHire.objects.all().delete()
    why = {"why": "failure", "words": "It broke."}
    differ(show, Input.objects.get(pk=second), by=world.tech, absent=True, **why)
    assert "too few" not in page(world, show, tech)


def test_channels_are_those_of_the_day(world: World, show: Show, tech: Client) -> None:
    second = second_input(world, number=40)
    assert "stands for" not in page(world, show, tech)
    number = Input.objects.get(pk=world.input.pk).number
    differ(show, Input.objects.get(pk=second), by=world.tech, number=number)
    assert f"Channel {number} stands for" in page(world, show, tech)


def test_a_spare_that_plays_beside_the_main_rig(world: World, show: Show, tech: Client) -> None:
    spare = make_rig(world.production, world.player, world.tech, "Second")
    record(spare, [Set(str(spare.pk), "rig", {"variant": "spare"})], author=world.tech, base=1)
    assert "rigs of" not in page(world, show, tech)
    ShowRig.objects.create(show=show, rig=spare, plays=True, by=world.tech)
    assert f"2 rigs of {world.player} play: Bass main, Second" in page(world, show, tech)


def test_the_mains_circuit_of_units_with_its_caution(
    world: World, show: Show, tech: Client
) -> None:
    unit = str(world.unit.pk)
    assert "licensed electrician" not in page(world, show, tech)
    world.record(
        Set(unit, "unit", {"mains_circuit": "Left, 230 V, 4 A"}),
        Add(str(uuid4()), "fact", {"unit": unit, "key": "mains_power", "value": "1000"}),
    )
    html = page(world, show, tech)
    # Source: I = P / V, 1000 W / 230 V, by hand.
    assert "4.348 A" in html
    assert "licensed electrician" in html


def test_the_page_costs_the_same_for_many(world: World, show: Show, tech: Client) -> None:
    url = address(world, "rigs:show_findings", show.pk)
    second_input(world)
    own(world, 1)
    world.record(Set(str(world.unit.pk), "unit", {"mains_circuit": "Left"}))
    few = queries_of(tech, url)
    for number in range(5):
        player = Player.objects.create(production=world.production, name=f"P{number}")
        make_rig(world.production, player, world.tech, f"Rig {number}")
        second_input(world, number=50 + number)
    assert queries_of(tech, url) == few


def test_two_units_on_one_frequency_that_night(world: World, show: Show, tech: Client) -> None:
    ids = [str(uuid4()) for _ in range(3)]
    for number, unit in enumerate(ids):
        mhz = {"name": "Frequency", "style": "value", "symbol": "MHz"}
        world.record(
            Add(unit, "unit", {"name": f"Radio {number}", "gear": "wireless", "position": number}),
            Add(str(uuid4()), "control", {"unit": unit, "setting": f"{600 + number}", **mhz}),
        )
    assert "MHz" not in page(world, show, tech)
    address_of = address(world, "rigs:unit_set_tonight", show.pk, ids[1])
    tech.post(address_of, {"radio": "600", "lasts": "show", "seen": "0"})
    html = page(world, show, tech)
    assert f"Radio 0 ({world.player}) and Radio 1 ({world.player}) are both on 600 MHz" in html
    # A transmitter and what listens to it are meant to be on one.
    link = {"source": ids[0], "target": ids[1], "carries": "radio"}
    world.record(Add(str(uuid4()), "link", link))
    assert "are both on" not in page(world, show, tech)


def test_laying_it_out_costs_eighteen_queries(
    world: World, show: Show, django_assert_num_queries: Any
) -> None:
    found = Show.objects.select_related("leg__production").get(pk=show.pk)
    differ(show, world.input, by=world.tech, device=world.other_mic, why="failure", words="Broke.")
    with django_assert_num_queries(18):
        stage_of(found)


def accept(client: Client, world: World, show: Show, signature: str, **more: Any) -> Any:
    sent = {"signature": signature, "words": "The second is a dummy.", **more}
    return client.post(address(world, "rigs:show_finding_accept", show.pk), sent)


@pytest.fixture
def too_few(world: World, show: Show) -> Finding:
    """One microphone too few: the only finding of the show."""
    second_input(world)
    own(world, 1)
    (found,) = stage_findings(stage_of(show))
    return found


def test_it_is_accepted_with_words_until_its_numbers_change(
    world: World, show: Show, tech: Client, too_few: Finding
) -> None:
    form = Page(tech, address(world, "rigs:show_findings", show.pk))
    assert "Accept it as it is" in form.html
    assert accept(tech, world, show, too_few.signature).status_code == 302
    html = page(world, show, tech)
    assert "Accepted (1)" in html
    assert "Open (1)" not in html
    assert "The second is a dummy." in html
    third = second_input(world)
    assert "Open (1)" in page(world, show, tech)
    world.record(Retire(third, "input"), reason=HIRE)
    assert "Accepted (1)" in page(world, show, tech)
    accept(tech, world, show, too_few.signature, words="It is none.", again="yes")
    html = page(world, show, tech)
    assert "Open (1)" in html
    assert "Open again:" in html


def test_words_hold_for_that_show_alone(
    world: World, show: Show, tech: Client, too_few: Finding
) -> None:
    accept(tech, world, show, too_few.signature)
    other = Show.objects.create(leg=show.leg, held_on=show.held_on, room="Elsewhere")
    assert "Open (1)" in page(world, other, tech)


def test_what_is_gone_is_refused_and_nothing_typed_is_lost(
    world: World, show: Show, tech: Client, too_few: Finding
) -> None:
    refused = accept(tech, world, show, "0" * 64).content.decode()
    assert "That finding is no longer there" in refused
    assert "The second is a dummy." in refused
    refused = accept(tech, world, show, too_few.signature, words=" ").content.decode()
    assert "Say in a few words why this may stay as it is." in refused
    assert not ShowFindingWords.objects.exists()


def test_crew_read_it_and_accept_nothing(world: World, show: Show, too_few: Finding) -> None:
    crew = as_user(world.people["crew"])
    assert "Accept it as it is" not in page(world, show, crew)
    assert accept(crew, world, show, too_few.signature).status_code == 403
    assert accept(as_user(world.outsider), world, show, too_few.signature).status_code == 404


@pytest.mark.parametrize("statement", ["UPDATE {} SET words = 'x'", "DELETE FROM {}"])
def test_the_database_refuses_to_rewrite_words(
    world: World, show: Show, tech: Client, too_few: Finding, statement: str
) -> None:
    accept(tech, world, show, too_few.signature)
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(ShowFindingWords._meta.db_table))


def test_the_api_gives_it_with_its_words(
    world: World, show: Show, tech: Client, too_few: Finding
) -> None:
    url = f"/api/v1/shows/{show.pk}/findings/"
    (row,) = api(world.people["crew"]).get(url).json()
    assert row["title"] == f"{world.mic}: 1 too few for this show"
    assert row["severity"] == "look"
    assert row["figures"] == [{"label": "wanted", "shown": "2"}, {"label": "owned", "shown": "1"}]
    assert (row["accepted"], row["words"]) == (False, None)
    accept(tech, world, show, row["signature"])
    (row,) = api(world.people["crew"]).get(url).json()
    assert (row["accepted"], row["words"]["words"]) == (True, "The second is a dummy.")
    assert api(world.outsider).get(url).status_code == 404


def test_strangers_find_nothing(world: World, show: Show) -> None:
    url = address(world, "rigs:show_findings", show.pk)
    assert as_user(world.outsider).get(url).status_code == 404
    assert as_user(world.people["crew"]).get(url).status_code == 200
