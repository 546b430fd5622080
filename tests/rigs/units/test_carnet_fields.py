"""What a carnet wants to know of a thing, on the forms of units and of microphones."""

from __future__ import annotations

from decimal import Decimal

import pytest

from rigs.models import Unit
from tests.support.pages import as_user
from tests.support.pages import at as at_production
from tests.support.rig_pages import Page, at
from tests.support.world import World


def test_a_unit_is_worth_something_somewhere(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit_edit", world.unit))
    sent = page.send(
        country_of_origin="sweden",
        worth="1200",
        currency="eur",
        mains_rating="100–240 V, 50/60 Hz, 1.6 A",
    )
    assert sent.status == 302
    unit = Unit.objects.get()
    assert (unit.country_of_origin, unit.worth, unit.currency) == ("SE", Decimal(1200), "EUR")
    html = Page(as_user(world.tech), at(world, "unit", world.unit)).html
    for said in ("SE, Sweden", "1200.00 EUR", "100–240 V, 50/60 Hz, 1.6 A"):
        assert said in html


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"country_of_origin": "Atlantis"}, "country_of_origin", "“Atlantis” is no country"),
        ({"worth": "5"}, "currency", "Which currency is the value in?"),
        ({"currency": "EUR"}, "worth", "How much is it worth, in that currency?"),
        ({"worth": "5", "currency": "Euros"}, "currency", "“Euros” is no currency"),
        ({"worth": "0.5", "currency": "JPY"}, "worth", "Sums in JPY have no digits"),
        ({"worth": "-5", "currency": "EUR"}, "worth", "greater than or equal to 0"),
    ],
)
def test_what_cannot_be_is_said_at_its_place_and_stays(
    world: World, typed: dict[str, str], field: str, said: str
) -> None:
    pages = (
        at(world, "unit_edit", world.unit),
        at_production(world, "rigs:device_edit", world.mic.pk),
    )
    for url in pages:
        back = Page(as_user(world.tech), url).send(**typed)
        (error,) = back.response.context["form"].errors[field]
        assert said in error
        assert {name: back.sent[name] for name in typed} == typed


def test_a_microphone_has_a_case_a_weight_and_a_value(world: World) -> None:
    url = at_production(world, "rigs:device_edit", world.mic.pk)
    sent = Page(as_user(world.tech), url).send(
        packed_in="Case 11", weight_kg="0.32", country_of_origin="DE", worth="145", currency="EUR"
    )
    assert sent.status == 302
    html = Page(as_user(world.tech), at_production(world, "rigs:device", world.mic.pk)).html
    for said in ("Case 11", "0.32 kg (0.7 lb)", "DE, Germany", "145.00 EUR"):
        assert said in html
