"""The page of findings: who reads, who accepts, and that nothing typed is lost."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from core.models.roles import Role
from rigs.models import FindingWords
from tests.rigs.checks.test_accepting import of_pair, pair
from tests.support.pages import as_user, at, says
from tests.support.world import World, make_rig


@pytest.fixture
def found(world: World) -> World:
    pair(world)
    return world


def page(world: World) -> str:
    return at(world, "rigs:findings", world.rig.pk)


def send(world: World, client: Client, **values: str) -> Any:
    sent = {"signature": of_pair(world.rig).finding.signature, "words": "She likes it wide."}
    return client.post(at(world, "rigs:finding_accept", world.rig.pk), sent | values)


@pytest.mark.parametrize("role", Role.values)
def test_every_member_reads_and_who_edits_rigs_may_accept(found: World, role: str) -> None:
    text = as_user(found.people[role]).get(page(found)).content.decode()
    assert "OH left and OH right are not equally far from the snare" in text
    assert ("Accept with these words" in text) == (role in (Role.ENGINEER, Role.TECH))


def test_the_numbers_the_reason_and_the_plot_are_on_the_page(found: World) -> None:
    text = as_user(found.engineer).get(page(found)).content.decode()
    assert "<dt>difference</dt><dd>500 mm</dd>" in text
    assert "<dt>first notch</dt><dd>343 Hz</dd>" in text
    assert "certain: follows from what is documented" in text
    assert "<title>Two paths 1.46 ms apart, added</title>" in text
    assert 'style="' not in text.partition("<main")[2]


def test_what_is_not_measured_has_its_own_place(found: World) -> None:
    shown = as_user(found.engineer).get(page(found)).context["shown"]
    titles = [each.finding.title for each in shown.lacking]
    assert (
        "Bass mic: level at the microphone of Head, maximum SPL of Corvane Hollow 2 not stated"
        in titles
    )


def test_accepting_says_so_and_moves_it(found: World) -> None:
    client = as_user(found.tech)
    response = send(found, client)
    assert response.status_code == 302
    response = client.get(response.headers["Location"])
    assert says(response) == [
        "Accepted, with your words: OH left and OH right are not equally far from the snare."
    ]
    assert [e.finding.rule for e in response.context["shown"].accepted] == ["stereo_pair"]
    assert "She likes it wide." in response.content.decode()


def test_opening_it_again(found: World) -> None:
    client = as_user(found.tech)
    send(found, client)
    send(found, client, words="In mono it hurts.", again="yes")
    assert not of_pair(found.rig).is_accepted
    assert "Open again: " in client.get(page(found)).content.decode()


def test_empty_words_come_back_beside_their_finding(found: World) -> None:
    response = send(found, as_user(found.engineer), words="  ")
    assert response.status_code == 200
    assert response.context["form"].errors == {
        "words": ["Say in a few words why this may stay as it is."]
    }
    assert not FindingWords.objects.exists()


def test_opening_it_again_needs_words_too(found: World) -> None:
    client = as_user(found.engineer)
    send(found, client)
    response = send(found, client, words="", again="yes")
    assert response.context["form"].errors == {
        "words": ["Say in a few words why it is open again."]
    }
    assert of_pair(found.rig).is_accepted


def test_words_to_a_finding_that_is_gone_are_kept(found: World) -> None:
    response = send(found, as_user(found.engineer), signature="0" * 64, words="Keep me.")
    text = response.content.decode()
    assert response.status_code == 200
    assert "That finding is no longer there: its numbers have changed, or it was mended." in text
    assert "Keep me." in text


@pytest.mark.parametrize("role", [Role.PLAYER, Role.CREW, Role.MANAGER])
def test_others_may_not_accept(found: World, role: str) -> None:
    assert send(found, as_user(found.people[role])).status_code == 403
    assert not FindingWords.objects.exists()


def test_an_outsider_finds_nothing(found: World) -> None:
    client = as_user(found.outsider)
    assert client.get(page(found)).status_code == 404
    assert send(found, client).status_code == 404
    assert (
        as_user(found.engineer).get(at(found, "rigs:findings", found.player.pk)).status_code == 404
    )


def test_a_rig_without_parts_has_nothing_open(world: World) -> None:
    bare = make_rig(world.production, world.player, world.tech, "Bare")
    text = as_user(world.engineer).get(at(world, "rigs:findings", bare.pk)).content.decode()
    assert "Nothing open" in text
    assert "Is an HPF above the lowest note of the tuning?" in text


def test_words_are_escaped(found: World) -> None:
    client = as_user(found.engineer)
    send(found, client, words="<b>loud</b>")
    assert "&lt;b&gt;loud&lt;/b&gt;" in client.get(page(found)).content.decode()
