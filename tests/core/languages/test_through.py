"""Every page in a language of brackets: no word of ours is outside, and no drawing has a comma."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.db import models, transaction
from django.test import Client
from django.urls import reverse
from django.utils.text import capfirst

from core.guests.links import shared_of
from core.languages.choice import NAMES
from core.models import Player
from core.models.roles import Role
from core.services.invitations import invite
from notes.blind.invitations import ask as ask_to_listen
from notes.models import BlindTrial, MonitorMix
from notes.monitors.signing import ask as ask_for_mix
from notes.signing.requests import ask as ask_to_sign
from tests.core.guests.shared import link_to
from tests.core.guests.test_walk import KINDS, subject_of
from tests.support.addresses import ROUTES, access_of, address
from tests.support.as_if_translated import LANGUAGE, as_if_translated, outside, untranslated
from tests.support.everything import arguments_for, fill
from tests.support.world import World

pytestmark = pytest.mark.django_db


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield from (line.strip() for line in str(value).splitlines())
    elif isinstance(value, dict):
        for key, each in value.items():
            yield from _texts(key)
            yield from _texts(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _texts(each)


def typed_texts() -> set[str]:
    """Whatever text is in any column."""
    found: set[str] = set()
    for model in apps.get_models():
        if model._meta.app_label not in ("core", "rigs", "notes"):
            continue
        columns = [
            field.attname
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField | models.JSONField)
        ]
        for row in model._default_manager.all():
            for column in columns:
                found |= {text for text in _texts(getattr(row, column)) if len(text) > 1}
    return found


def known_texts() -> re.Pattern[str]:
    """What people typed, and the names of languages: each by its own. Also where one begins a
    line; the longest first."""
    texts = typed_texts() | {*NAMES.values()}
    both = {form for each in texts for form in (each, capfirst(each))}
    return re.compile("|".join(re.escape(each) for each in sorted(both, key=len, reverse=True)))


def test_the_brackets_are_read_as_they_are_meant() -> None:
    typed = re.compile("Bass rig")
    page = "<p>⟦Save <b>Bass rig</b> now⟧ Bass rig <i title='Left'>⟦x⟧</i> stays</p>"
    assert untranslated(page, typed) == ["Left", "stays"]
    assert untranslated('<svg><path d="M1‚5 0"/></svg>', typed) == ["<path d='M1‚5 0'>"]
    samples = '<textarea translate="no" placeholder="out > head">typed</textarea>'
    assert untranslated(f'<input translate="no" placeholder="cab">{samples} said', typed) == [
        "said"
    ]
    nested = '<b translate="no">one <b>two</b> three</b><i title="four" translate="no">five</i>'
    assert untranslated(nested, typed) == ["four"]
    assert outside("a⟦b⟦c⟧d⟧e") == "a\n\ne"


def reader() -> Client:
    return Client(headers={"accept-language": LANGUAGE})


class Walk:
    """What pages said outside of brackets, and where."""

    def __init__(self, world: World) -> None:
        fill(world)
        self.world = world
        self.known = arguments_for(world)
        self.typed = known_texts()
        self.wrong: dict[str, list[str]] = {}
        self.pages = 0

    def read(self, answer: Any, at: str) -> None:
        """Refused or answered, if it is a page."""
        if answer.status_code >= 500 or "html" not in answer.headers.get("Content-Type", ""):
            return
        self.pages += 1
        text = (b"".join(answer) if answer.streaming else answer.content).decode()
        found = untranslated(text, self.typed)
        wrote = answer.request["REQUEST_METHOD"] == "POST" or getattr(answer, "redirect_chain", ())
        if found and wrote:
            # What was written by this very request was typed as well, or is stored as it is.
            found = untranslated(text, known_texts())
        for each in found:
            self.wrong.setdefault(each, []).append(at)

    def member(self) -> Client:
        client = reader()
        client.force_login(self.world.engineer)
        return client

    def routes(self) -> Iterator[tuple[str, str]]:
        """Each address of pages, with its route."""
        for route, entry in ROUTES.items():
            # The samples of the style are for those who build it.
            if access_of(entry) != "api" and not route.startswith("style/"):
                yield route, address(route, self.known)

    def check(self, at_least: int) -> None:
        assert self.pages >= at_least, self.pages
        assert not self.wrong, "\n".join(
            f"{text}  ({places[0]})" for text, places in sorted(self.wrong.items())
        )


def test_no_word_of_a_page_goes_past_the_translations(world: World) -> None:
    walk = Walk(world)
    with as_if_translated():
        for route, path in walk.routes():
            walk.read(walk.member().get(path), route)
    walk.check(at_least=150)


def test_no_word_of_an_answer_to_an_empty_form_does(world: World) -> None:
    """What a form asks for, why something is refused, and what the page after it tells."""
    walk = Walk(world)
    with as_if_translated():
        for route, path in walk.routes():
            with transaction.atomic():
                walk.read(walk.member().post(path, follow=True), route)
                transaction.set_rollback(True)
    walk.check(at_least=150)


def test_no_word_for_guests_and_those_who_sign_does(world: World) -> None:
    walk = Walk(world)
    client = reader()
    with as_if_translated():
        for kind in KINDS:
            subject = subject_of(kind, walk.known)
            home = link_to(world, kind, subject)
            opened = shared_of(world.production, kind, subject)
            for path, page in opened.opens.items():
                rest = "" if path == opened.start else path.partition(f"{world.production.pk}/")[2]
                if not page.file:
                    walk.read(client.get(f"{home}{rest}"), f"guest of {kind}")
        for name, token in links_of(world):
            path = reverse(name, args=[token])
            walk.read(client.get(path), name)
            for data in ({}, {"decision": "withheld"}, {"decision": "signed"}):
                walk.read(client.post(path, data, follow=True), name)
    walk.check(at_least=len(KINDS) + 6)


def links_of(world: World) -> Iterator[tuple[str, str]]:
    """An open link of each kind that somebody without a log-in signs or listens by."""
    world.rig.refresh_from_db()
    rig: dict[str, Any] = {"rig": world.rig, "revision": world.rig.head_number}
    yield "notes:signature", ask_to_sign(**rig, by=world.engineer, address=str).url
    mix, blind = MonitorMix.objects.get(), BlindTrial.objects.get()
    made = ask_for_mix(mix=mix, version=mix.version, by=world.engineer, address=str)
    yield "notes:mix_signature", made.url
    BlindTrial.objects.update(listeners=None)  # one more than the members
    listener = Player.objects.create(production=world.production, name="Sel Okafor")
    yield (
        "notes:blind_link",
        ask_to_listen(blind=blind, player=listener, by=world.engineer, address=str).url,
    )
    invited = invite(production=world.production, roles=[Role.CREW], by=world.engineer, address=str)
    yield "core:invitation", invited.url
