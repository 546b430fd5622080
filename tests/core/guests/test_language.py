"""In which language somebody with a link reads: theirs, else the link's, else the browser's."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from core.guests.forms import ShareForm
from core.guests.links import mail_share, share, shared_of
from core.models import GuestChange, GuestLink, User
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.world import World


def link_to_rig(world: World, **more):
    values = {
        "production": world.production,
        "kind": "rig",
        "subject": world.rig.pk,
        "by": world.tech,
        "for_whom": "Hire firm",
        "until": date.today() + timedelta(days=3),
        "address": "/g/{}/".format,
    }
    return share(**(values | more))


def language_of(client: Client, url: str, asked: str = "") -> str:
    answer = client.get(url, headers={"accept-language": asked} if asked else {})
    language = str(answer.headers["Content-Language"])
    assert f'<html lang="{language}"' in answer.content.decode()
    return language


def test_the_language_of_the_link_comes_before_that_of_the_browser(world: World) -> None:
    german, any_language = link_to_rig(world, language="de"), link_to_rig(world)
    assert language_of(Client(), german.url, "fr") == "de"
    assert language_of(Client(), any_language.url, "fr") == "fr"
    # What is asked before the page opens, too.
    asks = link_to_rig(world, language="ja", code="seven herons")
    assert language_of(Client(), asks.url) == "ja"
    assert translation.get_language() == "ja"
    # A page for others after it is in their own.
    assert language_of(Client(), "/login/", "fr") == "fr"


def test_what_is_shared_is_called_in_the_language_of_the_link(world: World) -> None:
    link = link_to_rig(world, kind="patch", subject=make_show(world).pk, language="de")
    page = Client().get(link.url, headers={"accept-language": "en"}).content.decode()
    assert "Patch, 4. Sept. 2026" in page[page.index('class="guest-about"') :]
    assert "4 Sep 2026" not in page


def test_what_the_guest_chose_comes_before_that_of_the_link(world: World) -> None:
    made, client = link_to_rig(world, language="de"), Client()
    page = client.get(made.url).content.decode()
    foot = page[page.index('class="languages"') :]
    assert f'action="{reverse("core:language")}"' in page
    assert f'name="next" value="{made.url}' in foot
    answer = client.post(reverse("core:language"), {"language": "es", "next": made.url})
    assert answer.headers["Location"] == made.url
    assert language_of(client, made.url) == "es"


def test_what_somebody_with_an_account_chose_comes_first_as_well(world: World) -> None:
    made = link_to_rig(world, language="de")
    User.objects.filter(pk=world.engineer.pk).update(language="fr")
    assert language_of(as_user(world.engineer), made.url) == "fr"


def test_the_form_begins_with_the_language_of_whoever_shares(world: World) -> None:
    client = as_user(world.tech)
    url = reverse("core:share", args=[world.production.pk, "rig", world.rig.pk])
    form = client.get(url).context["form"]
    assert form["language"].value() == ""
    User.objects.filter(pk=world.tech.pk).update(language="ja")
    assert client.get(url).context["form"]["language"].value() == "ja"
    typed = {"for_whom": "Hire firm", "until": date.today() + timedelta(days=3)}
    client.post(url, {**typed, "language": "es"})
    client.post(url, {**typed, "language": ""})
    assert sorted(GuestLink.objects.values_list("language", flat=True)) == ["", "es"]


def test_another_language_than_those_is_refused(world: World) -> None:
    shared = shared_of(world.production, "rig", world.rig.pk)
    typed = {"for_whom": "Hire firm", "until": date.today() + timedelta(days=3)}
    form = ShareForm({**typed, "language": "xx"}, shared=shared)
    assert set(form.errors) == {"language"}


def test_the_mail_is_in_the_language_of_the_link_and_the_history_in_none_of_them(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    monkeypatch.setattr(
        "core.services.link_mails.render_to_string",
        lambda *_: said.append(translation.get_language() or "") or "",
    )
    with translation.override("fr"):
        mail_share(link_to_rig(world, language="ja"), "hire@example.net")
        mail_share(link_to_rig(world), "hire@example.net")
    assert said == ["ja", "fr"]
    words = GuestChange.objects.values_list("words", flat=True)
    assert all(each[0].startswith("Shared with {whom} until ") for each in words)
