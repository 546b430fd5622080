"""A published handover is sealed in English, and told in the language of the reader."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.utils import translation

from notes.handover.compare import News, photos_retold
from notes.handover.in_language import in_language
from notes.handover.publish import read
from notes.models import PublishedHandover
from rigs.changes.edits import Set
from rigs.models import Device
from tests.notes.handover.published_support import published
from tests.notes.handover.support import legs
from tests.support.world import HIRE, World


@pytest.fixture
def made(world: World) -> PublishedHandover:
    """Published by somebody who reads German."""
    entry = str(world.input.pk)
    world.record(
        *(Set(entry, "input", {name: value}) for name, value in (("pan", -60), ("number", 7))),
        Set(entry, "input", {"reversed_polarity": True}),
        reason=HIRE,
    )
    with translation.override("de"):
        return published(world, legs(world)[0])


def specs(content: dict[str, Any]) -> dict[str, str]:
    (section,) = content["sections"]
    (entry,) = section["rigs"][0]["inputs"]
    return {spec["label"]: spec.get("text", "") for spec in entry["specs"]}


def figures(content: dict[str, Any]) -> list[dict[str, Any]]:
    (section,) = content["sections"]
    (entry,) = section["rigs"][0]["inputs"]
    found: list[dict[str, Any]] = entry["device"]["figures"]
    return found


def test_it_is_sealed_in_english(made: PublishedHandover) -> None:
    assert specs(read(made))["Pan"] == "60 house left"
    assert in_language(read(made)) == read(made)


def test_settings_are_told_in_the_language_of_the_reader(made: PublishedHandover) -> None:
    with translation.override("de"):
        told = specs(in_language(read(made)))
    wanted = {"Panorama": "60 links (vom Publikum aus)", "Polarität": "gedreht"}
    assert told | wanted == told


def test_the_page_and_the_paper_are_in_the_language_of_the_reader(
    world: World, made: PublishedHandover
) -> None:
    client = Client(headers={"accept-language": "de"})
    client.force_login(world.engineer)
    html = client.get(f"{made.get_absolute_url()}?long").content.decode()
    assert "60 links (vom Publikum aus)" in html
    assert "60 house left" not in html


@pytest.mark.parametrize("language", ["de", "es", "fr", "ja"])
def test_figures_of_devices_have_their_labels_in_each_language(world: World, language: str) -> None:
    Device.objects.update(max_spl_db=135, impedance_ohm=200)
    made = published(world, legs(world)[0])
    (figure, *_others) = figures(read(made))
    assert figure["label"] == "maximum SPL"
    with translation.override(language):
        (told, *_others) = figures(in_language(read(made)))
    assert told["label"] != "maximum SPL"
    assert told["quantity"] == figure["quantity"]
    client = Client(headers={"accept-language": language})
    client.force_login(world.engineer)
    assert client.get(f"{made.get_absolute_url()}?long").status_code == 200


def test_what_people_typed_stays(world: World) -> None:
    """Even where it is a word that the program has, too."""
    world.record(Set(str(world.input.pk), "input", {"stand": "normal", "notes": "off"}))
    made = published(world, legs(world)[0])
    with translation.override("de"):
        (section,) = in_language(read(made))["sections"]
    (entry,) = section["rigs"][0]["inputs"]
    assert (entry["stand"], entry["notes"]) == ("normal", "off")


def test_news_of_what_changed_is_found_again() -> None:
    stored = News.CALLED.in_english(now="Ada", before="Bo")
    photos = "2 photos added, 1 photo removed"
    with translation.override("de"):
        assert News.retold(stored) == News.CALLED.said(now="Ada", before="Bo") != stored
        assert photos_retold(photos) == "2 Fotos hinzugefügt, 1 Foto entfernt"
    assert photos_retold(photos) == photos
