"""A kit's intervals, and a drum at another pitch, on a rig's page."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from core.models.roles import Role
from rigs.changes.edits import Add
from rigs.models import Control, Unit
from rigs.whatif.kit import UNREAD
from tests.support.pages import as_user, at, says
from tests.support.world import World


@pytest.fixture
def kit(world: World) -> World:
    """The small rig with three drums: one pitch is no note, one is a note with words."""
    for name, pitch in (("Rack tom", "A2"), ("Floor tom", "E2 batter"), ("Snare", "tight")):
        unit = str(uuid4())
        world.record(
            Add(unit, "unit", {"name": name, "gear": "drum"}),
            Add(
                str(uuid4()),
                "control",
                {
                    "unit": unit,
                    "name": "Pitch",
                    "style": "text",
                    "setting": pitch,
                },
            ),
        )
    return world


def ask(world: World, role: str = Role.ENGINEER, drum: str = "Rack tom", **query: str) -> Any:
    query |= {"about": "kit", "subject": str(Unit.objects.get(name=drum).pk)}
    url = at(world, "rigs:what_if", world.rig.pk)
    response = as_user(world.people[role]).get(url, query)
    assert response.status_code == 200
    return response


def test_intervals_stand_there_before_anything_is_asked(kit: World) -> None:
    response = ask(kit)
    told = response.content.decode()
    # A2 and E2 are five steps apart.
    assert "<td>5 semitones, a fourth</td>" in told
    assert "Snare: “tight” begins with no note and no frequency." in told
    assert not response.context["form"].is_bound
    assert response.context["form"].initial["pitch"] == "A2"
    assert "Propose this change" not in told


def test_another_pitch(kit: World) -> None:
    told = ask(kit, ask="1", pitch="G2").content.decode()
    assert "Rack tom goes from A2 to G2, down by 2 semitones, a whole tone." in told
    assert "<td>3 semitones, a minor third</td>" in told
    assert "Propose this change" in told


@pytest.mark.parametrize(
    ("typed", "error"), [("high", UNREAD), ("A", UNREAD), ("", "This field is required.")]
)
def test_pitches_that_cannot_be(kit: World, typed: str, error: str) -> None:
    form = ask(kit, ask="1", pitch=typed).context["form"]
    assert form.errors == {"pitch": [error]}
    assert form["pitch"].value() == typed


def test_make_it_so(kit: World) -> None:
    response = ask(kit, Role.TECH, ask="1", pitch="G2, both heads")
    proposal, form = (response.context[name] for name in ("proposal", "proposal_form"))
    url = at(kit, "rigs:what_if_change", kit.rig.pk)
    done = as_user(kit.tech).post(
        f"{url}?kind={proposal.kind}&part={proposal.part}",
        {"base": form["base"].value(), "setting": proposal.value},
        follow=True,
    )
    assert says(done) == ["“Pitch” is changed, as asked."]
    assert Control.objects.get(unit__name="Rack tom").setting == "G2, both heads"
    assert Control.objects.get(unit__name="Floor tom").setting == "E2 batter"


def test_a_drum_without_a_pitch_can_be_asked_about_but_not_changed(kit: World) -> None:
    kit.record(Add(str(uuid4()), "unit", {"name": "Gong drum", "gear": "drum"}))
    told = ask(kit, drum="Gong drum", ask="1", pitch="C1").content.decode()
    assert "Gong drum would stand at C1." in told
    assert "Propose this change" not in told


def test_a_rig_without_drums(world: World) -> None:
    url = at(world, "rigs:what_if", world.rig.pk)
    told = as_user(world.engineer).get(url, {"about": "kit"}).content.decode()
    assert "No drum is in this rig." in told


def test_the_page_of_a_drum_leads_there(kit: World) -> None:
    drum = Unit.objects.get(name="Snare")
    page = as_user(kit.engineer).get(at(kit, "rigs:unit", kit.rig.pk, drum.pk)).content.decode()
    assert f"?about=kit&amp;subject={drum.pk}" in page
