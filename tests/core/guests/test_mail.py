"""What is shared goes out by mail as well: plain text, to an address that is not kept."""

from __future__ import annotations

from datetime import date, timedelta

from django.core import mail
from django.test import Client
from django.urls import reverse

from core.models import GuestChange, GuestLink
from tests.support.pages import as_user
from tests.support.world import World

TO = "hire@elsewhere.example"


def shared(world: World, **more) -> str:
    page = reverse("core:share", args=[world.production.pk, "rig", world.rig.pk])
    until = (date.today() + timedelta(days=3)).isoformat()
    sent = {"for_whom": "Hire firm", "until": until, "email": TO} | more
    return as_user(world.tech).post(page, sent).content.decode()


def test_the_mail_has_the_link_in_plain_text_and_says_until_when(world: World) -> None:
    shown = shared(world, code="seven herons")
    (letter,) = mail.outbox
    assert letter.content_subtype == "plain"
    assert not getattr(letter, "alternatives", [])
    assert letter.to == [TO]
    url = next(line for line in letter.body.splitlines() if line.startswith("http://testserver/"))
    assert b"A word, please" in Client().get(url.removeprefix("http://testserver")).content
    assert "seven herons" not in letter.body
    assert str(GuestLink.objects.get().last_day.year) in letter.body
    assert TO in shown
    kept = [*GuestLink.objects.values(), *GuestChange.objects.values()]
    assert TO not in str(kept)


def test_a_mail_that_fails_leaves_the_link(world: World, settings) -> None:
    settings.EMAIL_BACKEND = "tests.core.guests.test_mail.Broken"
    assert "The mail could not be sent" in shared(world)
    assert GuestLink.objects.count() == 1


class Broken:
    def __init__(self, *args, **more) -> None:
        pass

    def send_messages(self, letters) -> int:
        raise ConnectionRefusedError("nobody there")


def test_a_name_cannot_write_headers(world: World) -> None:
    type(world.tech).objects.filter(pk=world.tech.pk).update(name="Bram\nBcc: x@y.example")
    shared(world)
    (letter,) = mail.outbox
    assert "\n" not in letter.subject
    assert letter.recipients() == [TO]
