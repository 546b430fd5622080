"""Drops of mains: their figures, the units that name them, and the sum at a show."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from core.models.roles import Role
from rigs.changes.edits import Set
from rigs.lists.drops import drops_of
from rigs.models import MainsDrop, PlotChange, Rig, Unit
from rigs.shows.stage import stage_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def client(world: World) -> Client:
    return as_user(world.tech)


def url(world: World, name: str, *more: object) -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, *more])


def plug(world: World, circuit: str) -> None:
    world.record(Set(str(world.unit.pk), "unit", {"mains_circuit": circuit}))


def circuit(world: World) -> str:
    return Unit.objects.get(pk=world.unit.pk).mains_circuit


def test_a_drop_feeds_the_units_that_are_ticked(world: World, client: Client) -> None:
    plug(world, "Elsewhere, 16 A")
    made = Page(client, url(world, "plot_drop_new")).send(
        name="Backline left",
        volts="230",
        hertz="50",
        amps="16",
        right_m="-2 m",
        up_m="3.5 m",
        feeds=[str(world.unit.pk)],
    )
    assert made.status == 302
    (fed,) = drops_of(world.production)
    assert fed.drop.labelled == "Backline left, 230 V, 50 Hz, 16 A"
    assert (fed.drop.right_m, fed.drop.up_m) == (Decimal(-2), Decimal("3.5"))
    assert [unit.pk for unit in fed.units] == [world.unit.pk]
    # The rig's own history has it: a drop is no second place for what a unit is plugged into.
    assert circuit(world) == "Backline left"
    page = client.get(url(world, "plot")).content.decode()
    assert "2 m stage left, 3.5 m upstage" in page
    assert "licensed electrician" in page


def test_units_follow_a_drop_that_is_called_otherwise(world: World, client: Client) -> None:
    drop = MainsDrop.objects.create(production=world.production, name="Left")
    plug(world, "LEFT, 230 V")
    assert Page(client, url(world, "plot_drop", drop.pk)).send(name="Right").status == 302
    assert circuit(world) == "Right"
    drop.refresh_from_db()
    assert (drop.name, drop.version) == ("Right", 2)
    Page(client, url(world, "plot_drop", drop.pk)).send(feeds=[])
    assert circuit(world) == ""


def test_what_somebody_plugged_meanwhile_stays(world: World, client: Client) -> None:
    drop = MainsDrop.objects.create(production=world.production, name="Left")
    page = client.get(url(world, "plot_drop", drop.pk))
    opened = {name: page.context["form"][name].value() for name in ("version", "shown")}
    plug(world, "Left")
    sent = client.post(url(world, "plot_drop", drop.pk), {"name": "Left", "amps": "10", **opened})
    assert sent.status_code == 302
    assert circuit(world) == "Left"


def test_a_retired_drop_feeds_nothing(world: World, client: Client) -> None:
    drop = MainsDrop.objects.create(production=world.production, name="Left")
    plug(world, "Left")
    assert client.post(url(world, "plot_drop_retire", drop.pk)).status_code == 302
    assert circuit(world) == ""
    assert drops_of(world.production) == []
    change = PlotChange.objects.get()
    assert change.words == [
        "Mains: Left: taken off",
        f"{world.player}, {world.unit}: not from Left",
    ]


def test_figures_of_the_drop_count_at_a_show(world: World) -> None:
    show = make_show(world)
    plug(world, "left")
    MainsDrop.objects.create(production=world.production, name="Left", volts=120, amps="15.5")
    (unit,) = stage_of(show).units
    assert unit.circuit == "Left, 120 V, 15.5 A"


def test_units_of_a_retired_rig_draw_nothing(world: World) -> None:
    MainsDrop.objects.create(production=world.production, name="Left")
    plug(world, "Left")
    assert drops_of(world.production, rigs=[]) == drops_of(world.production, rigs=set())
    assert drops_of(world.production, rigs=[])[0].units == ()
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    assert Rig.objects.get(pk=world.rig.pk).retired
    assert drops_of(world.production)[0].units == ()


@pytest.mark.parametrize(
    ("sent", "field", "words"),
    [
        ({"name": "left"}, "name", "Another one is called so."),
        ({"name": "Left, 16 A"}, "name", "No comma, please: figures have fields of their own."),
        (
            {"name": "B", "up_m": "2 m"},
            "right_m",
            "A place needs both: to stage right, and upstage.",
        ),
        ({"name": "B", "amps": "0"}, "amps", "Ensure this value is greater than or equal to 1."),
    ],
)
def test_what_cannot_be_is_told_at_its_place(
    world: World, client: Client, sent: dict[str, str], field: str, words: str
) -> None:
    MainsDrop.objects.create(production=world.production, name="Left")
    answer = Page(client, url(world, "plot_drop_new")).send(**sent)
    assert answer.status == 200
    assert answer.response.context["form"].errors[field] == [words]
    assert answer.response.context["form"]["name"].value() == sent["name"]


def test_crew_reads_the_plot_and_changes_none_of_it(world: World) -> None:
    crew = as_user(world.people[Role.CREW])
    assert crew.get(url(world, "plot_drop_new")).status_code == 403
    assert crew.get(url(world, "plot")).status_code == 200
