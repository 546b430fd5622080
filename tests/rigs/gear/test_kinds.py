"""A kind of gear is one entry: what it says of itself is all that the rest of the program knows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from core.templatetags.ui import icon
from rigs.cautions import of_unit
from rigs.changes.edits import Add
from rigs.checks.bench import AUDIO, NO_SOUND
from rigs.checks.rules import dangling_end, pickup_loading, slack_string, tap_load
from rigs.facts import FACTS, facts_for
from rigs.gear import GEAR, OTHER, Family, Gear, Has, Usual, gear_of
from rigs.gear.cautions import (
    EAR_CAUTION,
    LOAD_BOX_CAUTION,
    LOAD_CAUTION,
    MAINS_CAUTION,
    SUPPLY_CAUTION,
    VALVE_CAUTION,
)
from rigs.models import Control, Link, Unit
from rigs.revisions.read import live
from rigs.settings_of_controls import Style
from rigs.units.several import kind_of
from rigs.wording import snapshot_view
from tests.rigs.checks.laying import cable, entry, found, missing, only, unit
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World

ROOT = Path(__file__).parents[3]
CAUTION = "Its resonator is hot: leave the inside to a qualified technician."
INVENTED = Gear(
    key="glow_harp",
    label="glow harp amplifier",
    icon="audio-lines",
    family=Family.AMPLIFIERS,
    usual=(Usual("Glow"), Usual("Mode", Style.SWITCH, "dim, bright")),
    cautions=(CAUTION,),
    figures=("output_power", "scale_length", "pickup_inductance", "mains_power"),
    needs_sound=True,
    drives_loudspeakers=True,
    valves=Has.YES,
    strung=True,
    pickup=True,
    held=True,
    least_tension=200.0,
)


@pytest.fixture
def invented(monkeypatch: pytest.MonkeyPatch) -> Gear:
    monkeypatch.setitem(GEAR, INVENTED.key, INVENTED)
    return INVENTED


def test_an_invented_kind_is_offered_and_added_with_its_controls(
    world: World, invented: Gear
) -> None:
    tech = as_user(world.tech)
    offered = Page(tech, at(world, "unit_new")).html
    assert 'href="?gear=glow_harp"' in offered
    assert "Glow harp amplifier" in offered
    page = Page(tech, f"{at(world, 'unit_new')}?gear=glow_harp")
    assert page.send(name="Harp", setting__0="2:30", setting__1="bright").status == 302
    made = Unit.objects.get(name="Harp")
    controls = {c.name: c.setting for c in Control.objects.filter(unit=made)}
    assert (made.gear, controls) == ("glow_harp", {"Glow": "2:30", "Mode": "bright"})
    assert kind_of("glow harp") is invented


# What such gear has to set, whoever makes it: common practice, no source.
USUAL = {
    "modeller": {"Program", "Amplifier", "Cabinet", "Supply"},
    "speaker_simulator": {"Cabinet", "Microphone"},
    "load_box": {"Attenuation", "Impedance", "Line output"},
    "in_ear_transmitter": {"Frequency", "Group and channel", "Mode"},
    "controller": {"Program", "Bank", "Loops", "MIDI channel"},
    "power": {"Outlet 1", "Outlet 2"},
    "gate": {"Threshold", "Range", "Hold", "Release"},
    "bass": {"Volume", "Tone"},
}


@pytest.mark.parametrize("kind", USUAL)
def test_a_kind_offers_what_its_gear_has_to_set(world: World, kind: str) -> None:
    assert {usual.name for usual in gear_of(kind).usual} >= USUAL[kind]
    page = Page(as_user(world.tech), f"{at(world, 'unit_new')}?gear={kind}")
    assert [name for name in USUAL[kind] if name not in page.html] == []


def test_its_cautions_figures_and_lists_follow(world: World, invented: Gear) -> None:
    part = str(uuid4())
    world.record(Add(part, "unit", {"name": "Harp", "gear": "glow_harp", "maker": "Orrin"}))
    world.rig.refresh_from_db()
    view = snapshot_view(world.rig, live(world.rig))
    harp = view.unit(part)
    assert harp is not None
    assert CAUTION in [caution.text for caution in of_unit(harp)]
    tech = as_user(world.tech)
    shown = Page(tech, f"{at(world, 'unit', Unit.objects.get(pk=part))}").html
    assert CAUTION in shown
    assert "Glow harp amplifier" in shown
    assert [fact.key for fact in facts_for(invented)][: len(invented.figures)] == [
        key for key in FACTS if key in invented.figures
    ]
    packed = tech.get(reverse("rigs:pack_list", args=[world.production.pk])).content.decode()
    assert "Glow harp amplifier" in packed
    assert "Orrin" in packed
    assert "The mains power of Harp (Ines Halloran) is not noted." in packed


def test_findings_know_it_by_its_traits(invented: Gear) -> None:
    harp = unit("Harp", "glow_harp", "E2 A2", scale_length=0.6)
    cabinet = unit("Cab", "cabinet")
    wired = (cabinet, cable("Harp", "Cab", "speaker"))
    # It drives loudspeakers and has valves: its tap is asked for even with nothing on record.
    assert "speaker tap in use" in missing(only(tap_load.check, harp))
    # It needs sound: an input on it hears nothing without a cable.
    titles = [f.title for f in found(dangling_end.check, harp, *wired, entry("Mic", harp))]
    assert "Mic: nothing feeds Harp" in titles
    # It is strung with a least tension, and has a pickup.
    assert "string gauge" in missing(only(slack_string.check, harp))
    plugged = (harp, unit("Amp", "head"), cable("Harp", "Amp"))
    assert "pickup inductance" in missing(only(pickup_loading.check, *plugged))


def test_a_kind_of_another_time_is_taken_for_other() -> None:
    assert gear_of("no such thing") is OTHER
    assert found(dangling_end.check, unit("Relic", "no such thing")) == []


@pytest.mark.parametrize("gear", GEAR.values(), ids=list(GEAR))
def test_every_caution_of_every_kind_leaves_the_last_word_to_others(gear: Gear) -> None:
    for caution in gear.cautions:
        assert caution.endswith("."), caution
        assert re.search(r"qualified|licensed|local|maker|isolate before", caution), caution
    assert gear.caution == " ".join(gear.cautions)


@pytest.mark.parametrize("gear", GEAR.values(), ids=list(GEAR))
def test_traits_that_can_hurt_bring_their_cautions(gear: Gear) -> None:
    if gear.valves is not Has.NO:
        assert VALVE_CAUTION in gear.cautions
    if gear.drives_loudspeakers:
        assert MAINS_CAUTION in gear.cautions
    if gear.hides_load:
        assert LOAD_BOX_CAUTION in gear.cautions
    if gear.in_ears:
        assert EAR_CAUTION in gear.cautions
    if gear.supplies_power:
        assert SUPPLY_CAUTION in gear.cautions
    if any("bridged" in usual.choices for usual in gear.usual):
        assert LOAD_CAUTION in gear.cautions


def test_a_cable_carries_sound_or_none() -> None:
    assert set(Link.Carries.values) == AUDIO | NO_SOUND
    assert not AUDIO & NO_SOUND


@pytest.mark.parametrize("gear", GEAR.values(), ids=list(GEAR))
def test_a_kind_is_whole(gear: Gear) -> None:
    assert GEAR[gear.key] is gear
    assert len(gear.key) <= 24
    assert set(gear.figures) <= set(FACTS)
    assert len({usual.name for usual in gear.usual}) == len(gear.usual)
    assert icon(gear.icon).startswith("<svg")  # a name that is none raises
    assert not (gear.acoustic and gear.needs_sound)


# Keys of kinds stand in the entries and in what the demonstration adds. A comparison anywhere else
# would be a second place to think of when a kind is added.
def _sources() -> Iterator[Any]:
    for app in ("core", "rigs", "notes"):
        for path in (ROOT / app).rglob("*.py"):
            if not {"migrations", "demo", "gear"} & set(path.parts):
                yield pytest.param(path, id=str(path.relative_to(ROOT)))


def test_no_module_compares_keys_of_kinds() -> None:
    keys = "|".join(key for key in GEAR)
    # Keys that are no other word of the program are not to be found at all.
    own = "|".join(key for key in GEAR if "_" in key or key in ("combo", "cymbal", "rotary"))
    compared = re.compile(rf"""gear\b.*(?:==|!=|\bin\b).*["'](?:{keys})["']|["'](?:{own})["']""")
    wrong = [
        f"{param.values[0].relative_to(ROOT)}: {line.strip()}"
        for param in _sources()
        for line in param.values[0].read_text().splitlines()
        if compared.search(line)
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("name", "kind"),
    [("Kick", "drum"), ("Floor tom", "drum"), ("Hi-hat", "cymbal"), ("Left cab", "cabinet")],
)
def test_a_name_tells_the_kind_where_nobody_states_it(name: str, kind: str) -> None:
    assert kind_of("", name).key == kind


def test_no_two_kinds_are_called_alike() -> None:
    called = [word for gear in GEAR.values() for word in gear.called]
    assert len(called) == len(set(called))
    assert all(word == word.casefold() for word in called)
