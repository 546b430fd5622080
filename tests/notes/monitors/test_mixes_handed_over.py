"""Monitor mixes in a handover: first to whoever makes them, in place of the words out front."""

from __future__ import annotations

import json
import re
from datetime import date
from uuid import uuid4

import pypdfium2
import pytest

from core.models import Leg
from core.models.roles import Role
from notes.handover.content import content_of
from notes.handover.orders import order_for
from notes.handover.print import handover_pdf
from notes.handover.publish import publish
from notes.handover.short import short
from notes.handover.state import find
from notes.handover.verify import broken_handovers
from notes.monitors.services import change, create, state_at
from notes.monitors.state import MixState, Want
from rigs.changes.edits import Set
from rigs.paper.pdf import Paper
from tests.support.pages import as_user
from tests.support.world import World

pytestmark = pytest.mark.django_db
SOUND = "Round, and a little dirty."


@pytest.fixture
def leg(world: World) -> Leg:
    world.record(Set(str(world.rig.pk), "rig", {"sound": SOUND}))
    wants = (Want(str(uuid4()), "more", (f"input:{world.input.pk}",), words="the thump"),)
    state = MixState("Wedge", player=str(world.player.pk), eq="400 Hz down", wants=wants)
    create(world.production, state, by=world.engineer)
    create(world.production, MixState("Fill", position="stage left"), by=world.engineer)
    leg: Leg = Leg.objects.create(
        production=world.production,
        name="Coast",
        starts_on=date(2026, 9, 1),
        ends_on=date(2026, 9, 9),
    )
    return leg


def test_the_monitor_engineer_reads_the_mixes_first(world: World, leg: Leg) -> None:
    assert order_for("", [Role.MONITORS]).key == "monitors"
    made = publish(leg=leg, by=world.engineer)
    address = f"{made.get_absolute_url()}?long"
    monitors = as_user(world.people[Role.MONITORS]).get(address).content.decode()
    foh = as_user(world.engineer).get(address).content.decode()
    for page in (monitors, foh):
        said = re.sub(r"\s+", " ", page)
        assert "the thump" in said
        assert "400 Hz down" in said
        assert "local rules on sound levels come first" in said
    rig = f'id="rig-{world.rig.pk}"'
    assert monitors.index("the thump") < monitors.index(rig)
    assert foh.index(rig) < foh.index("the thump")
    # What changed names the words in both; only the other order has them as how it should sound.
    assert monitors.count(SOUND) == foh.count(SOUND) - 1


def test_the_short_version_has_them_for_one_and_counts_them_for_the_others(
    world: World, leg: Leg
) -> None:
    content = content_of(find(leg))
    mine = short(content, order_for("monitors", []))
    theirs = short(content, order_for("foh", []))
    assert mine.content["sections"][0]["mixes"][0]["wants"][0]["words"] == "the thump"
    assert mine.content["sections"][0]["rigs"][0]["sound"]["words"] == ""
    assert theirs.content["sections"][0]["mixes"] == []
    assert theirs.left_out["monitor mixes"] == 2
    assert theirs.content["sections"][0]["rigs"][0]["sound"]["words"] == SOUND


def test_what_is_published_stays_and_what_changed_is_told(world: World, leg: Leg) -> None:
    publish(leg=leg, by=world.engineer)
    mix = world.player.monitor_mixes.get()
    change(
        mix,
        MixState.from_plain(state_at(mix, 1).plain() | {"eq": ""}),
        base=1,
        by=world.engineer,
    )
    newer = publish(leg=leg, by=world.engineer)
    content = json.loads(newer.content)
    assert content["schema"] == 7
    assert "Monitor mix “Wedge” is changed." in content["between"]["sections"][0]["news"]
    assert list(broken_handovers()) == []
    pages = pypdfium2.PdfDocument(handover_pdf(newer, address="http://127.0.0.1/", paper=Paper.A4))
    text = " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in pages)
    assert "the thump" in text
    assert "Fill" in text
