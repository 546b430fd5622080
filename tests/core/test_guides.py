"""The guides are true: what they quote stands on pages, their pictures and links are there.

Nothing outside to compare with: the source itself is what the guides are about.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import Image

from tests.bench.pictures import FOLDER, MOST_BYTES, PICTURES
from tests.support.labels import labels, tidy
from tests.support.loaded import ROOT

DOCS = ROOT / "docs"
GUIDES = ("first-day", "tech", "engineer", "player", "crew", "notes", "sets")
_CODE = re.compile(r"^```.*?^```$|`[^`\n]*`", re.MULTILINE | re.DOTALL)
_BOLD = re.compile(r"\*\*.*?\*\*", re.DOTALL)
_ITALIC = re.compile(r"(?<![\w*])\*([^*]+)\*(?![\w*])")
_PICTURE = re.compile(r"!\[([^\]]*)\]\(([^)\s]+)\)")
_LINK = re.compile(r"(?<!!)\[[^\]]*\]\(([^)\s]+)\)")
# What stands in italics for its own sake, not because a page says it.
EMPHASIS = {"italics", "inside"}


def text_of(guide: str) -> str:
    return (DOCS / f"{guide}.md").read_text("utf-8")


def quoted(text: str) -> list[str]:
    """What stands in italics, outside code and bold type."""
    bare = _BOLD.sub("", _CODE.sub("", text))
    return [" ".join(each.split()) for each in _ITALIC.findall(bare)]


def not_on_pages(text: str) -> list[str]:
    """Labels that no page has. An ellipsis stands for what differs, such as a name."""
    return [
        label
        for label in quoted(text)
        if label not in EMPHASIS
        if not all(tidy(part) in labels() for part in label.split("…") if part.strip())
    ]


def pictures_in(path: Path) -> list[tuple[str, str]]:
    """Alternative text and address of each."""
    return _PICTURE.findall(path.read_text("utf-8"))


def headings(path: Path) -> set[str]:
    """Anchors, as the sites that show Markdown make them."""
    found = re.findall(r"^#+ (.*)$", _CODE.sub("", path.read_text("utf-8")), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", each.lower()).replace(" ", "-") for each in found}


@pytest.mark.parametrize("guide", GUIDES)
def test_what_a_guide_quotes_stands_on_a_page(guide: str) -> None:
    assert quoted(text_of(guide)), "a guide without a single label"
    assert not_on_pages(text_of(guide)) == []


def test_a_label_that_no_page_has_is_found() -> None:
    text = "*Save the\nnote*, then *Save the nte*, **bold *in* it**, `*code*`, *Ask … to sign*."
    assert quoted(text) == ["Save the note", "Save the nte", "Ask … to sign"]
    assert not_on_pages(text) == ["Save the nte"]


@pytest.mark.parametrize("path", sorted(DOCS.glob("*.md")), ids=lambda path: path.name)
def test_pictures_say_what_they_show_and_are_there(path: Path) -> None:
    for words, address in pictures_in(path):
        assert len(words) > 20, f"{address} says too little to who cannot see it"
        assert (DOCS / address).is_file(), address


def test_every_picture_is_light_and_shown_by_a_guide() -> None:
    shown = {address for path in DOCS.glob("*.md") for _, address in pictures_in(path)}
    there = sorted(FOLDER.iterdir())
    assert {f"pictures/{path.name}" for path in there} == shown
    for path in there:
        assert path.stat().st_size < MOST_BYTES, path.name
        with Image.open(path) as image:
            assert image.format == "WEBP"
            image.verify()


def test_the_script_makes_every_picture_and_no_other() -> None:
    assert {path.stem for path in FOLDER.iterdir()} == set(PICTURES)


@pytest.mark.parametrize("guide", GUIDES)
def test_links_of_a_guide_lead_somewhere(guide: str) -> None:
    for address in _LINK.findall(text_of(guide)):
        file, _, anchor = address.partition("#")
        target = DOCS / (file or f"{guide}.md")
        assert target.is_file(), address
        assert not anchor or anchor in headings(target), address


def test_the_first_day_needs_no_other_page() -> None:
    """The README leads there, and it says itself how to begin."""
    assert "(docs/first-day.md)" in (ROOT / "README.md").read_text("utf-8")
    assert "manage.py start --empty --lan" in text_of("first-day")
