"""The player's link: what the phone shows, what an answer does, and what closed links tell."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import OneTimeLink
from notes.models import SignOff
from notes.signing.requests import ask, withdraw
from notes.signing.services import sign
from rigs.models import Photo
from rigs.photos.services import add_photos
from tests.support.everything import picture
from tests.support.world import World


def _link(world: World) -> str:
    world.rig.refresh_from_db()
    made = ask(
        rig=world.rig,
        revision=world.rig.head_number,
        by=world.engineer,
        address=lambda token: token,
    )
    return reverse("notes:signature", args=[made.url])


def _yes(url: str, **more: Any) -> Any:
    # With the checks a browser meets: the page works without a cookie or an Origin.
    return Client(enforce_csrf_checks=True).post(url, {"decision": "signed", "words": ""} | more)


def test_the_phone_shows_the_words_the_gear_and_the_two_answers(world: World) -> None:
    page = Client().get(_link(world)).content.decode()
    for text in (
        "Warm, woody, no clank.",
        "Gain",
        "2:30",
        "Bass mic",
        "Hollow 2",
        "This is my sound",
        "Not yet, because …",
    ):
        assert text in page


def test_looking_spends_nothing(world: World) -> None:
    url = _link(world)
    for _ in range(3):
        assert Client().get(url).status_code == 200
    assert Client().head(url).status_code == 200
    assert OneTimeLink.objects.get().is_open


def test_yes_signs_as_that_player_and_closes_the_link(world: World) -> None:
    url = _link(world)
    response = _yes(url, words="That is it.")
    made = SignOff.objects.get()
    assert (made.party, made.decision, made.player, made.user, made.words) == (
        "player",
        "signed",
        world.player,
        None,
        "That is it.",
    )
    assert "Thank you, Ines Halloran" in response.content.decode()
    assert Client().get(url).status_code == 404


def test_not_yet_needs_words_and_keeps_the_link_open_until_it_has_them(world: World) -> None:
    url = _link(world)
    response = _yes(url, decision="withheld", words=" ")
    assert response.status_code == 200
    assert "Say what is missing, so that somebody can do it." in response.content.decode()
    assert OneTimeLink.objects.get().is_open
    _yes(url, decision="withheld", words="No low D.")
    assert SignOff.objects.get().words == "No low D."


def test_a_rig_that_moved_on_is_not_half_signed(world: World) -> None:
    url = _link(world)
    world.turn("3:00")
    page = Client().get(url).content.decode()
    assert "The rig has changed" in page
    assert "2:30" in page
    assert "This is my sound" not in page
    response = _yes(url)
    assert "Ask" in response.content.decode()
    assert "for a new link" in response.content.decode()
    assert not SignOff.objects.exists()
    assert OneTimeLink.objects.get().is_open


def test_what_changed_since_the_last_signature_is_listed(world: World) -> None:
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    world.turn("3:00")
    response = Client().get(_link(world))
    assert "Changed since you signed on" in response.content.decode()
    (told,) = response.context["since"].parts
    assert [line.sentence for line in told.lines] == ["Head, Gain: 2:30 → 3:00"]


@pytest.mark.parametrize("closed", ["used", "withdrawn", "expired", "unknown"])
def test_a_closed_link_tells_nothing(world: World, closed: str) -> None:
    url, later = _link(world), clock.now()
    if closed == "used":
        _yes(url)
    elif closed == "withdrawn":
        withdraw(rig=world.rig)
    elif closed == "expired":
        later += timedelta(days=15)
    else:
        url = reverse("notes:signature", args=["x" * 43])
    with clock.set_to(later + timedelta(seconds=1)):
        for response in (Client().get(url), _yes(url)):
            page = response.content.decode()
            assert response.status_code == 404
            assert "This link is closed" in page
            for secret in ("Ines", "Bass", "woody", world.production.name):
                assert secret not in page
    assert SignOff.objects.count() == (closed == "used")


def test_an_invitation_opens_no_signature(world: World) -> None:
    from core.links import make_link

    _, token = make_link(
        production=world.production,
        purpose=OneTimeLink.Purpose.INVITATION,
        details={"roles": ["crew"]},
        made_by=world.engineer,
        days=1,
    )
    assert Client().get(reverse("notes:signature", args=[token])).status_code == 404


def test_the_page_is_kept_nowhere_and_found_by_nobody(world: World) -> None:
    url = _link(world)
    for response in (Client().get(url), _yes(url), Client().get(url)):
        assert "no-store" in response.headers["Cache-Control"]
        assert response.headers["X-Robots-Tag"] == "noindex, nofollow"
        assert response.headers["Referrer-Policy"] == "no-referrer"
        assert '<meta name="robots" content="noindex, nofollow">' in response.content.decode()


def test_hostile_names_and_words_are_shown_as_text(world: World) -> None:
    world.player.name = "<b>Ines</b>"
    world.player.save()
    world.turn("3:00")
    url = _link(world)
    page = Client().get(url).content.decode() + _yes(url, words="<i>yes</i>").content.decode()
    assert "<b>Ines" not in page
    assert "<i>yes" not in page
    assert "&lt;b&gt;Ines&lt;/b&gt;" in page


def test_the_photos_of_what_is_signed_are_shown_and_no_others(world: World) -> None:
    add_photos(world.rig, [picture("navy")], about=None, caption="Whole", author=world.tech)
    photo = Photo.objects.get()
    world.rig.refresh_from_db()
    url = _link(world)
    add_photos(world.rig, [picture("teal")], about=None, caption="Later", author=world.tech)
    later = Photo.objects.exclude(pk=photo.pk).get()
    page = Client().get(url).content.decode()
    own = f"{url}photos/{photo.pk}/"
    assert f'src="{own}?size=thumb"' in page
    assert str(later.pk) not in page
    answer = Client().get(own)
    assert answer.headers["Content-Type"] == "image/webp"
    assert "no-store" in answer.headers["Cache-Control"]
    assert Client().get(f"{url}photos/{later.pk}/").status_code == 404
    assert Client().get(f"{url}photos/{world.unit.pk}/").status_code == 404
    withdraw(rig=world.rig)
    assert Client().get(own).status_code == 404
