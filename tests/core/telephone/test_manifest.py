"""What the manifest promises is there.

Members and their rules are those of the W3C's Web Application Manifest and Web Share Target (a
draft of its community group), from memory; what Chromium makes of it is in
tests/browser/test_shared_in.py.
"""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from PIL import Image

from tests.support.pages import as_user
from tests.support.world import World

MANIFEST = "/manifest.webmanifest"


@pytest.fixture
def manifest(client: Client, db: None) -> dict[str, Any]:
    found: dict[str, Any] = client.get(MANIFEST).json()
    return found


def icons(manifest: dict[str, Any]) -> list[dict[str, str]]:
    return [*manifest["icons"], *(icon for each in manifest["shortcuts"] for icon in each["icons"])]


def test_each_icon_is_a_picture_of_the_size_it_says(manifest: dict[str, Any]) -> None:
    for icon in icons(manifest):
        name, *_hash = PurePosixPath(icon["src"]).name.split(".")
        with Image.open(finders.find(f"core/img/{name}.png")) as picture:
            assert "x".join(map(str, picture.size)) == icon["sizes"], icon
            assert picture.format == "PNG"


def test_icons_for_each_way_in_which_telephones_draw_them(manifest: dict[str, Any]) -> None:
    found = {(icon["purpose"], icon["sizes"]) for icon in manifest["icons"]}
    assert found >= {("any", "192x192"), ("any", "512x512"), ("maskable", "512x512")}
    assert ("monochrome", "512x512") in found


def test_a_maskable_icon_fills_the_square_and_keeps_to_the_safe_circle(
    manifest: dict[str, Any],
) -> None:
    """W3C: a circle of 40 % of the width about the middle is never cut."""
    with Image.open(finders.find("core/img/icon-maskable-512.png")) as picture:
        pixels = picture.convert("RGBA")
        ground = pixels.getpixel((0, 0))
        assert pixels.getextrema()[3] == (255, 255)
        outside = [
            (x, y)
            for x in range(0, 512, 4)
            for y in range(0, 512, 4)
            if (x - 255.5) ** 2 + (y - 255.5) ** 2 > (0.4 * 512) ** 2
        ]
        assert {pixels.getpixel(at) for at in outside} == {ground}


def test_a_touch_icon_is_square_and_without_transparency(client: Client, db: None) -> None:
    page = client.get("/login/").content.decode()
    assert 'rel="apple-touch-icon"' in page
    with Image.open(finders.find("core/img/icon-apple-180.png")) as picture:
        assert picture.size == (180, 180)
        assert picture.convert("RGBA").getextrema()[3] == (255, 255)


def test_what_is_shared_is_posted_with_its_files_within_the_scope(
    manifest: dict[str, Any],
) -> None:
    target = manifest["share_target"]
    assert (target["method"], target["enctype"]) == ("POST", "multipart/form-data")
    assert target["action"].startswith(manifest["scope"])
    (files,) = target["params"]["files"]
    assert {"image/*", "audio/*", ".heic", ".wav"} <= set(files["accept"])
    assert "video/*" not in files["accept"]


def test_each_shortcut_answers_and_is_in_the_language_of_its_reader(
    manifest: dict[str, Any], world: World
) -> None:
    german = Client().get(MANIFEST, headers={"accept-language": "de"}).json()["shortcuts"]
    client = as_user(world.tech)
    assert len(manifest["shortcuts"]) == len(german) == 4
    for each, other in zip(manifest["shortcuts"], german, strict=True):
        assert each["url"].startswith(manifest["scope"])
        assert client.get(each["url"], follow=True).status_code == 200
        assert each["url"] == other["url"]
        assert each["name"] != other["name"]
