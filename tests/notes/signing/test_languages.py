"""The language in which a player reads their link, and that of the words they said."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.core import mail
from django.test import Client
from django.urls import reverse

from core.models import OneTimeLink
from notes.signing.requests import ask
from tests.support.pages import as_user, at
from tests.support.world import World


def _link(world: World, language: str = "") -> str:
    made = ask(
        rig=world.rig,
        revision=world.rig.head_number,
        by=world.engineer,
        address=lambda token: token,
        language=language,
    )
    return reverse("notes:signature", args=[made.url])


@pytest.mark.parametrize(
    ("asked", "chosen", "read"),
    [("de", "", "de"), ("de", "fr", "fr"), ("", "", "ja"), ("", "es", "es")],
)
def test_a_link_is_read_in_its_language_unless_the_device_chose(
    world: World, asked: str, chosen: str, read: str
) -> None:
    client = Client(headers={"Accept-Language": "ja"})
    if chosen:
        client.cookies[settings.LANGUAGE_COOKIE_NAME] = chosen
    assert client.get(_link(world, asked)).headers["Content-Language"] == read


def test_whoever_asks_chooses_and_the_language_of_the_player_is_offered(world: World) -> None:
    world.player.language = "fr"
    world.player.save()
    url = at(world, "notes:ask_signature", world.rig.pk)
    form = as_user(world.engineer).get(url).context["form"]
    assert form["language"].value() == "fr"
    sent = {"revision": world.rig.head_number, "language": "de", "email": "who@example.org"}
    as_user(world.engineer).post(url, sent)
    assert OneTimeLink.objects.get().language == "de"
    assert len(mail.outbox) == 1


@pytest.mark.parametrize(("spoken", "marked"), [("es", ' lang="es"'), ("", "")])
def test_the_words_of_a_player_are_marked_as_in_their_language(
    world: World, spoken: str, marked: str
) -> None:
    world.player.language = spoken
    world.player.save()
    page = Client().get(_link(world)).content.decode()
    assert f'<blockquote{marked} translate="no">Warm, woody, no clank.</blockquote>' in page
