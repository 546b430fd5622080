"""The player's copy: by the link they answered with, of what they said and saw, while it lasts."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pypdfium2
from django.core import mail
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import Checkpoint, OneTimeLink
from core.proof import checkpoints
from core.proof.code import read_code, short_code
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


def test_the_copy_has_the_code_of_the_log_that_has_what_was_said(
    world: World, django_capture_on_commit_callbacks: Any
) -> None:
    token, client = token_for(world), Client()
    with django_capture_on_commit_callbacks(execute=True):
        sent = {"decision": "signed", "words": ""}
        client.post(reverse("notes:signature", args=[token]), sent)
    code = short_code(*Checkpoint.objects.values_list("size", "root").get())
    world.turn("4:00")
    checkpoints.take(world.production.pk, Checkpoint.Why.DAY)
    text = text_of(client.get(reverse("notes:signature_copy", args=[token])).getvalue())
    (printed,) = re.findall(r"log\s+(\S+)", text)
    # As somebody copies it out of the file.
    assert read_code(printed) == read_code(code)


def test_no_other_link_opens_a_copy(world: World) -> None:
    token, client = token_for(world), Client()
    client.post(reverse("notes:signature", args=[token]), {"decision": "signed", "words": ""})
    other = token_for(world)
    assert client.get(reverse("notes:signature_copy", args=[other])).status_code == 404
    assert client.get(reverse("notes:signature_copy", args=["no-such"])).status_code == 404
    OneTimeLink.objects.update(withdrawn_at=clock.now())
    assert client.get(reverse("notes:signature_copy", args=[token])).status_code == 404


def test_who_says_the_same_again_gets_a_copy_again(world: World) -> None:
    for _ in range(2):
        token, client = token_for(world), Client()
        client.post(reverse("notes:signature", args=[token]), {"decision": "signed", "words": ""})
        assert client.get(reverse("notes:signature_copy", args=[token])).status_code == 200


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
