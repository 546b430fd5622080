"""The player's copy: by the link they answered with, of what they said and saw, while it lasts."""

from __future__ import annotations

from datetime import timedelta

import pypdfium2
from django.core import mail
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import OneTimeLink
from notes.signing.requests import ask
from tests.support.pages import as_user
from tests.support.world import World


def token_for(world: World) -> str:
    world.rig.refresh_from_db()
    head = world.rig.head_number
    return ask(rig=world.rig, revision=head, by=world.engineer, address=lambda t: t).url


def text_of(data: bytes) -> str:
    pages = pypdfium2.PdfDocument(data)
    return " ".join(page.get_textpage().get_text_range() for page in pages)


def test_whoever_answered_gets_a_copy_of_what_they_saw(world: World) -> None:
    token, client = token_for(world), Client()
    copy = reverse("notes:signature_copy", args=[token])
    assert client.get(copy).status_code == 404  # nothing was said yet
    sent = {"decision": "signed", "words": "A little more bloom."}
    said = client.post(reverse("notes:signature", args=[token]), sent).content.decode()
    assert copy in said
    world.turn("4:00")  # what comes later is not what was signed
    response = client.get(copy)
    assert response.headers["Content-Type"] == "application/pdf"
    assert "no-store" in response.headers["Cache-Control"]
    assert response.headers["Referrer-Policy"] == "no-referrer"
    text = text_of(response.getvalue())
    for words in ("Signed: Bass main", "A little more bloom.", "Ines Halloran", "2:30"):
        assert words in text, words
    assert "4:00" not in text
    with clock.set_to(OneTimeLink.objects.get().expires_at + timedelta(seconds=1)):
        assert client.get(copy).status_code == 404


def test_no_other_link_opens_a_copy(world: World) -> None:
    token, client = token_for(world), Client()
    client.post(reverse("notes:signature", args=[token]), {"decision": "signed", "words": ""})
    other = token_for(world)
    assert client.get(reverse("notes:signature_copy", args=[other])).status_code == 404
    assert client.get(reverse("notes:signature_copy", args=["no-such"])).status_code == 404
    OneTimeLink.objects.update(withdrawn_at=clock.now())
    assert client.get(reverse("notes:signature_copy", args=[token])).status_code == 404


def test_a_player_is_asked_by_mail_in_plain_words(world: World) -> None:
    page = reverse("notes:ask_signature", args=[world.production.pk, world.rig.pk])
    sent = {"revision": world.rig.head_number, "email": "ines@elsewhere.example"}
    shown = as_user(world.engineer).post(page, sent).content.decode()
    (letter,) = mail.outbox
    assert letter.to == ["ines@elsewhere.example"]
    assert letter.content_subtype == "plain"
    url = next(line for line in letter.body.splitlines() if line.startswith("http://testserver/"))
    assert Client().get(url.removeprefix("http://testserver")).status_code == 200
    assert "It was sent to" in shown
    assert "ines@elsewhere.example" not in str(list(OneTimeLink.objects.values()))
