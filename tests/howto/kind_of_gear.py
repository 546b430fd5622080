"""In a copy of the source that has one more kind of gear, a glow harp amplifier: it is offered."""

from __future__ import annotations

from django.urls import reverse

from rigs.models import Control, Unit
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World


def test_it_is_added_on_the_page_with_its_controls_and_cautions(world: World) -> None:
    tech = as_user(world.tech)
    assert "Glow harp amplifier" in Page(tech, at(world, "unit_new")).html
    form = Page(tech, f"{at(world, 'unit_new')}?gear=glow_harp")
    assert form.send(name="Harp", setting__0="2:30").status == 302
    made = Unit.objects.get(name="Harp")
    assert made.gear == "glow_harp"
    assert Control.objects.get(unit=made).name == "Glow"
    shown = Page(tech, at(world, "unit", made)).html
    for caution in made.traits.cautions:
        assert caution in shown


def test_it_is_packed_and_asked_about_by_its_traits(world: World) -> None:
    tech = as_user(world.tech)
    Page(tech, f"{at(world, 'unit_new')}?gear=glow_harp").send(name="Harp", setting__0="2:30")
    packed = tech.get(reverse("rigs:pack_list", args=[world.production.pk])).content.decode()
    assert "Glow harp amplifier" in packed
    assert "Harp" in Page(tech, at(world, "findings")).html
