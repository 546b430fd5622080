"""The page on which a member signs."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from core.models import Player
from notes.models import SignOff
from tests.support.pages import as_user, at, says
from tests.support.world import World, make_world


def _url(world: World) -> str:
    return at(world, "notes:sign", world.rig.pk)


def _post(world: World, who: str = "tech", **more: Any) -> Any:
    data = {"decision": "signed", "party": who, "revision": "1", "words": ""} | more
    return as_user(world.people[who]).post(_url(world), data)


def test_the_page_shows_the_words_and_offers_the_two_answers(world: World) -> None:
    page = as_user(world.tech).get(_url(world)).content.decode()
    assert "Warm, woody, no clank." in page
    assert "This is right: sign" in page
    assert "Not yet: withhold" in page


def test_a_tech_signs_as_tech(world: World) -> None:
    response = _post(world, words="All tight.")
    made = SignOff.objects.get()
    assert (made.party, made.decision, made.user, made.words) == (
        "tech",
        "signed",
        world.tech,
        "All tight.",
    )
    assert response.headers["Location"] == world.rig.get_absolute_url()


def test_an_engineer_who_is_a_tech_too_picks_the_party(world: World) -> None:
    world.production.memberships.create(user=world.engineer, role="tech")
    page = as_user(world.engineer).get(_url(world)).content.decode()
    assert "You sign as" in page
    for party in ("tech", "engineer"):
        as_user(world.engineer).post(
            _url(world), {"decision": "signed", "party": party, "revision": 1}
        )
    assert set(SignOff.objects.values_list("party", flat=True)) == {"tech", "engineer"}


def test_another_party_than_ones_own_is_no_choice(world: World) -> None:
    response = _post(world, party="engineer")
    form = response.context["forms"]["signed"]
    assert form.errors["party"] == [
        "Select a valid choice. engineer is not one of the available choices."
    ]
    assert not SignOff.objects.exists()


def test_withholding_without_words_says_so_beside_the_field(world: World) -> None:
    response = _post(world, decision="withheld")
    assert response.status_code == 200
    assert response.context["forms"]["withheld"].errors == {
        "words": ["Say what is missing, so that somebody can do it."]
    }
    assert "Say what is missing, so that somebody can do it." in response.content.decode()
    assert not SignOff.objects.exists()


def test_neither_yes_nor_not_yet_signs_nothing(world: World) -> None:
    response = _post(world, decision="perhaps")
    assert says(response) == ["Nothing was signed: say whether this is right, or not yet."]
    assert not SignOff.objects.exists()


def test_someone_was_faster_shows_what_they_changed_and_keeps_the_words(world: World) -> None:
    world.turn("3:00")
    response = _post(world, words="Lovely.")
    page = response.content.decode()
    assert not SignOff.objects.exists()
    assert "Someone changed it since you opened this page" in page
    assert "2:30</del>" in page
    assert "3:00</ins>" in page
    form = response.context["forms"]["signed"]
    assert (form["words"].value(), form["revision"].value()) == ("Lovely.", 2)


def test_the_page_tells_what_changed_since_the_rig_page_was_opened(world: World) -> None:
    world.turn("3:00")
    client = as_user(world.tech)
    assert client.get(f"{_url(world)}?seen=1").context["since_seen"].parts[0].name == "Head"
    for seen in ("2", "", "x", "²", "9" * 30):
        assert not client.get(f"{_url(world)}?seen={seen}").context["since_seen"]


def test_what_differs_since_ones_own_signature_is_listed(world: World) -> None:
    _post(world)
    world.turn("3:00")
    (own,) = as_user(world.tech).get(_url(world)).context["since_own"]
    (told,) = own["since"].parts
    assert [(line.field_label, line.old_text, line.new_text) for line in told.lines] == [
        ("Gain", "2:30", "3:00")
    ]
    assert [why.revision.number for why in told.why] == [2]


@pytest.mark.parametrize("who", ["crew", "manager"])
def test_who_has_no_say_is_refused(world: World, who: str) -> None:
    assert as_user(world.people[who]).get(_url(world)).status_code == 403
    assert _post(world, who).status_code == 403


def test_a_player_signs_own_rigs_only(world: World) -> None:
    assert as_user(world.people["player"]).get(_url(world)).status_code == 200
    other = Player.objects.create(production=world.production, name="Oda Quill", instrument="horn")
    world.people["player"].memberships.update(player=other)
    assert as_user(world.people["player"]).get(_url(world)).status_code == 403
    assert _post(world, "player").status_code == 403


def test_outsiders_and_other_productions_rigs_are_not_found(world: World) -> None:
    assert as_user(world.outsider).get(_url(world)).status_code == 404
    foreign = make_world("Elsewhere").rig
    client = as_user(world.tech)
    assert client.get(at(world, "notes:sign", foreign.pk)).status_code == 404
    assert client.get(at(world, "notes:sign", uuid4())).status_code == 404


def test_hostile_words_are_shown_as_text(world: World) -> None:
    _post(world, words="<script>alert(1)</script>")
    page = as_user(world.tech).get(_url(world)).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
