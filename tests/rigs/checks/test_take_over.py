"""What a finding proposes is taken over by hand: put into the input's own form, saved from there.

1 m of air is 2.91 ms at 20 °C (343.2 m/s by ISO 9613-1; computed).
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from core.models.roles import Role
from rigs.changes.edits import Add, Set
from rigs.checks.acceptance import findings_with_words
from rigs.models import Input, Revision
from tests.support.listening import hear
from tests.support.pages import as_user, queries_of, says
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World, make_device

WORDS = "delay at the desk 2.91 ms"
BUTTON = f"Take over for Line: {WORDS}"


@pytest.fixture
def line(world: World) -> Input:
    """A DI beside the microphone of the bass, which stands 1 m from its own grille."""
    di = make_device(world.production, "Straight", form="di", principle="di_passive")
    part = str(uuid4())
    fields = {"name": "Line", "unit": str(world.unit.pk), "device": str(di.pk)}
    mic = {"distance_m": "1", "reference_point": "grille"}
    world.record(Add(part, "input", fields), Set(str(world.input.pk), "input", mic), reason=HIRE)
    return Input.objects.get(pk=part)


def signature(world: World) -> str:
    every = (each.finding for each in findings_with_words([world.rig])[world.rig.pk])
    (found,) = (f for f in every if f.title.startswith("Line and ") and f.rule == "di_and_mic")
    return found.signature


def form_of(world: World, line: Input, who: Any = None) -> Page:
    url = f"{at(world, 'finding_take_over', line)}?finding={signature(world)}"
    page = Page(as_user(who or world.tech), url)
    page.url = at(world, "input_edit", line)
    assert f'action="{page.url}"' in page.html
    return page


@pytest.mark.parametrize("name", ["findings", "input"])
@pytest.mark.parametrize("role", Role.values)
def test_who_may_change_the_rig_is_offered_it(
    world: World, line: Input, name: str, role: str
) -> None:
    url = at(world, name) if name == "findings" else at(world, name, line)
    text = as_user(world.people[role]).get(url).content.decode()
    assert "Delay Line by 2.91 ms." in text
    assert (BUTTON in text) == (role in (Role.ENGINEER, Role.TECH))


@pytest.mark.parametrize("role", [Role.PLAYER, Role.CREW, Role.MANAGER])
def test_others_are_refused(world: World, line: Input, role: str) -> None:
    url = f"{at(world, 'finding_take_over', line)}?finding={signature(world)}"
    assert as_user(world.people[role]).get(url).status_code == 403


def test_the_form_has_it_put_in_and_nothing_is_written_before_it_is_sent(
    world: World, line: Input
) -> None:
    before = Revision.objects.count()
    page = form_of(world, line)
    assert page.sent["delay_ms"] == "2.91"
    assert "Put into the form, not saved yet" in page.html
    assert (Revision.objects.count(), Input.objects.get(pk=line.pk).delay_ms) == (before, None)


def test_it_is_saved_as_any_edit_with_its_reason(world: World, line: Input) -> None:
    page = form_of(world, line, world.engineer)
    why = {"reason_kind": "correction", "reason_words": "It stood in the notes."}
    assert page.send(**why).status == 302
    made = Revision.objects.order_by("number").last()
    assert made is not None
    assert (made.author, made.reason_kind, made.reason_words) == (
        world.engineer,
        "correction",
        "It stood in the notes.",
    )
    changed = [(change.field, change.new) for change in made.changes.all()]
    assert changed == [("delay_ms", "2.91")]


def test_what_somebody_set_meanwhile_is_asked_about(world: World, line: Input) -> None:
    page = form_of(world, line)
    world.record(Set(str(line.pk), "input", {"delay_ms": "3"}), author=world.engineer)
    back = page.send()
    assert back.status == 409
    (panel,) = back.response.context["form"].panels
    assert (panel.typed, panel.now) == ("2.91", "3")
    assert Input.objects.get(pk=line.pk).delay_ms == Decimal(3)


def test_a_finding_that_was_mended_meanwhile_offers_nothing(world: World, line: Input) -> None:
    url = f"{at(world, 'finding_take_over', line)}?finding={signature(world)}"
    world.record(Set(str(line.pk), "input", {"delay_ms": "2.91"}))
    response = as_user(world.tech).get(url, follow=True)
    assert response.redirect_chain[0][0] == at(world, "findings")
    assert says(response) == [
        "That finding is no longer there: its numbers have changed, or it was mended."
    ]


def test_a_finding_proposes_nothing_for_an_input_that_it_leaves_alone(
    world: World, line: Input
) -> None:
    url = f"{at(world, 'finding_take_over', world.input)}?finding={signature(world)}"
    assert as_user(world.tech).get(url).status_code == 302


def test_what_notes_say_is_taken_over_into_the_field(world: World, line: Input) -> None:
    world.record(Set(str(line.pk), "input", {"notes": "delay 3.1 ms"}))
    page = form_of(world, line)
    assert page.sent["delay_ms"] == "3.1"
    assert page.send().status == 302
    entry = Input.objects.get(pk=line.pk)
    assert (entry.delay_ms, entry.notes) == (Decimal("3.1"), "delay 3.1 ms")


def test_it_is_taken_over_because_of_a_listening_note_too(world: World, line: Input) -> None:
    note = hear(world)
    ids = [world.production.pk, note.pk, line.pk]
    url = reverse("notes:note_change_input", args=ids)
    link = f"?finding={signature(world)}"
    listed = Page(as_user(world.tech), url)
    assert link in listed.html
    page = Page(as_user(world.tech), url + link)
    assert page.sent["delay_ms"] == "2.91"
    assert page.send().status == 302
    made = Revision.objects.order_by("number").last()
    assert made is not None
    assert (made.reason_kind, Input.objects.get(pk=line.pk).delay_ms) == ("notes", Decimal("2.91"))


def test_the_form_costs_the_same_for_one_finding_and_for_more(world: World, line: Input) -> None:
    def cost() -> int:
        url = f"{at(world, 'finding_take_over', line)}?finding={signature(world)}"
        return queries_of(as_user(world.tech), url)

    before = cost()
    fields = {name: value for name, value in line.fields().items() if name != "kind"}
    world.record(*(Add(str(uuid4()), "input", {**fields, "name": f"No. {n}"}) for n in range(3)))
    assert cost() == before
