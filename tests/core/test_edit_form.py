"""A form notices when someone else saved meanwhile, and keeps what was typed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from core.forms.base import EditForm
from core.forms.tour import ShowForm
from core.models import Leg, Show
from tests.support.world import World

TYPED = {
    "held_on": "2026-09-04",
    "room": "Old Hempwalk",
    "town": "Quernel Bay",
    "mix_distance_m": "80 ft",
    "version": "1",
}


@pytest.fixture
def show(world: World) -> Show:
    leg = Leg.objects.create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-20"
    )
    return Show.objects.create(
        leg=leg, held_on="2026-09-04", room="Hempwalk", mix_distance_m="24.5"
    )


def form(show: Show, **changed: Any) -> ShowForm:
    return ShowForm({**TYPED, **changed}, instance=Show.objects.get(pk=show.pk))


def test_saves_and_counts_the_save(show: Show) -> None:
    assert form(show).try_save() is True
    show.refresh_from_db()
    assert (show.room, show.version) == ("Old Hempwalk", 2)
    assert (show.mix_distance_m, show.mix_distance_unit) == (Decimal("24.384"), "ft")


def test_a_stale_form_says_what_is_there_now(show: Show) -> None:
    Show.objects.filter(pk=show.pk).update(version=2, town="Sellick Quay")
    stale = form(show)
    assert stale.try_save() is False
    assert stale.errors == {
        "__all__": [EditForm.stale_message],
        "room": ["Now there: Hempwalk"],
        "town": ["Now there: Sellick Quay"],
        "mix_distance_m": ["Now there: 24.5 m"],
    }
    assert stale["room"].value() == "Old Hempwalk"
    assert Show.objects.get(pk=show.pk).room == "Hempwalk"


def test_sent_again_it_is_meant(show: Show) -> None:
    Show.objects.filter(pk=show.pk).update(version=7)
    stale = form(show)
    stale.try_save()
    assert stale["version"].value() == "7"
    assert form(show, version=stale["version"].value()).try_save() is True


def test_a_form_without_its_version_is_stale(show: Show) -> None:
    assert form(show, version="").errors["__all__"] == [EditForm.stale_message]


def test_an_emptied_length_is_not_measured_and_keeps_its_unit(show: Show) -> None:
    assert form(show, mix_distance_m="").try_save() is True
    show.refresh_from_db()
    assert (show.mix_distance_m, show.mix_distance_unit) == (None, "m")


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ("far", "“far” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("-2 m", "A distance cannot be negative."),
        ("1001", "More than 1000 m cannot be right."),
    ],
)
def test_a_wrong_length_says_so_beside_the_field(show: Show, typed: str, error: str) -> None:
    assert form(show, mix_distance_m=typed).errors["mix_distance_m"] == [error]


def test_a_length_comes_back_as_it_was_typed(show: Show) -> None:
    form(show, mix_distance_m="80' 3\"").try_save()
    assert ShowForm(instance=Show.objects.get(pk=show.pk)).initial["mix_distance_m"] == "80.25 ft"


def test_an_unbound_form_saves_nothing(show: Show) -> None:
    assert ShowForm(instance=show).try_save() is False


def test_numbers_open_without_idle_noughts(show: Show) -> None:
    show.humidity_pct = Decimal("48.0")
    show.save()
    assert 'value="48"' in str(ShowForm(instance=Show.objects.get(pk=show.pk))["humidity_pct"])
