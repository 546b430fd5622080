"""A player signs a mix by a link: asked by mail, in their language, with a copy to keep."""

from __future__ import annotations

from datetime import timedelta

import pypdfium2
from django.core import mail
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import OneTimeLink, Player
from notes.monitors import signing
from notes.monitors.services import create
from notes.monitors.state import MixState
from tests.support.pages import as_user
from tests.support.world import World


def token_for(world: World, language: str = "") -> str:
    mix = create(
        world.production, MixState("Ines ears", player=str(world.player.pk)), by=world.engineer
    )
    return signing.ask(
        mix=mix, version=1, by=world.engineer, address=lambda t: t, language=language
    ).url


def text_of(data: bytes) -> str:
    pages = pypdfium2.PdfDocument(data)
    return " ".join(page.get_textpage().get_text_range() for page in pages)


def test_a_player_is_asked_by_mail_in_their_language(world: World) -> None:
    Player.objects.filter(pk=world.player.pk).update(language="de")
    state = MixState("Ines ears", player=str(world.player.pk))
    mix = create(world.production, state, by=world.engineer)
    page = reverse("notes:mix_ask", args=[world.production.pk, mix.pk])
    asks = as_user(world.engineer)
    assert '<option value="de" selected>' in asks.get(page).content.decode()
    bad = {"version": 1, "email": "no address", "language": "de"}
    assert "no address" in asks.post(page, bad).content.decode()
    assert not mail.outbox
    shown = asks.post(page, bad | {"email": "ines@elsewhere.example"}).content.decode()
    (letter,) = mail.outbox
    assert letter.content_subtype == "plain"
    assert "It was sent to" in shown
    assert "Öffne diesen Link" in letter.body
    url = next(line for line in letter.body.splitlines() if line.startswith("http://testserver/"))
    answered = Client().get(url.removeprefix("http://testserver"))
    assert answered.headers["Content-Language"] == "de"
    assert "ines@elsewhere.example" not in str(list(OneTimeLink.objects.values()))


def test_whoever_answered_gets_a_copy_by_the_same_link_in_their_language(world: World) -> None:
    token, client = token_for(world, "de"), Client()
    copy = reverse("notes:mix_signature_copy", args=[token])
    assert client.get(copy).status_code == 404  # nothing was said yet
    sent = {"decision": "signed", "words": "A little more kick."}
    said = client.post(reverse("notes:mix_signature", args=[token]), sent).content.decode()
    assert copy in said
    response = client.get(copy)
    assert response.headers["Content-Type"] == "application/pdf"
    assert "no-store" in response.headers["Cache-Control"]
    text = text_of(response.getvalue())
    for words in ("Ines ears", "A little more kick.", "Freigegeben: Ines ears"):
        assert words in text, words
    with clock.set_to(OneTimeLink.objects.get().expires_at + timedelta(seconds=1)):
        assert client.get(copy).status_code == 404
    OneTimeLink.objects.update(withdrawn_at=clock.now())
    assert client.get(copy).status_code == 404
