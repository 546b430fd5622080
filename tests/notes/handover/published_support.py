"""What is published, and how its page is taken apart."""

from __future__ import annotations

import re
from typing import Any

from core.models import Leg
from notes.handover.publish import publish
from notes.handover.services import handover_of
from notes.models import Note, PublishedHandover
from tests.support.pages import as_user
from tests.support.world import World


def words(leg: Leg, opening: str = "Walk the room.") -> None:
    handover = handover_of(leg)
    handover.opening, handover.cautions, handover.people = opening, "Loose step.", "Ada, FOH."
    handover.save()


def note(world: World, said: str = "Too boomy.", **more: Any) -> Note:
    return Note.objects.create(
        production=world.production,
        rig=world.rig,
        words=said,
        verdict="adjust",
        said_by_player=world.player,
        written_by=world.engineer,
        **more,
    )


def published(world: World, leg: Leg) -> PublishedHandover:
    return publish(leg=leg, by=world.engineer)


def page(world: World, made: PublishedHandover, who: str = "crew", query: str = "") -> str:
    response = as_user(world.people[who]).get(f"{made.get_absolute_url()}{query}")
    assert response.status_code == 200
    return str(response.content.decode())


def frozen(html: str) -> list[str]:
    """The parts of the page that stay as they are, section by section."""
    talk = r'(?=<details class="disclosure ask"|<h3 class="section-sub">Questions)'
    cautions = r'<details class="disclosure cautions-first".*?</details>'
    return re.findall(rf'{cautions}|<div class="frozen".*?</div>\s*{talk}', html, re.DOTALL)
