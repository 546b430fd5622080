"""The map of the folders in the contributors' guide, and the tables of the architecture, are true.

Nothing outside to compare with: the source itself is what the documents are about.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
APPS = ("core", "rigs", "notes")
NO_FEATURES = {"migrations"}


def the_map() -> dict[str, str]:
    """What the map says of each folder of the first level."""
    guide = (ROOT / "DEVELOPERS.md").read_text()
    block = re.search(r"^## Map$.*?^```$(.*?)^```$", guide, re.MULTILINE | re.DOTALL)
    assert block is not None
    parts = re.split(r"^(\w+)/", block[1], flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def folders(app: str) -> set[str]:
    """Those that hold modules; an old checkout may have empty ones."""
    return {path.parent.name for path in (ROOT / app).glob("*/*.py")} - NO_FEATURES


def named(text: str) -> set[str]:
    """Folders that lie directly in the app: entries stand between dots, remarks in brackets."""
    bare = re.sub(r"\([^()]*\)", "", text)
    return set(re.findall(r"(?<![\w/])(\w+)/", bare))


@pytest.mark.parametrize("app", APPS)
def test_the_map_names_every_folder_and_no_other(app: str) -> None:
    assert named(the_map()[app]) == folders(app)


@pytest.mark.parametrize("app", APPS)
def test_modules_that_the_map_names_are_there(app: str) -> None:
    for module in re.findall(r"\b(\w+\.py)\b", the_map()[app]):
        assert (ROOT / app / module).is_file(), module


def test_the_map_names_every_folder_of_the_project() -> None:
    with_code = {path.parent.name for path in ROOT.glob("*/__init__.py")}
    assert set(the_map()) == with_code | {"docs"}


def test_the_table_of_the_gateway_names_all_its_modules() -> None:
    text = (ROOT / "docs/architecture.md").read_text()
    section = text.split("## The gateway", 1)[1].split("\n## ", 1)[0]
    rows = [row.split("|")[1] for row in section.splitlines() if row.startswith("| `")]
    said = {name for row in rows for name in re.findall(r"`([\w/]+)`", row)}
    there = {path.stem for path in (ROOT / "rigs/revisions").glob("[!_]*.py")}
    pure = {f"changes/{path.stem}" for path in (ROOT / "rigs/changes").glob("[!_]*.py")}
    assert said == there | pure


def test_paths_that_the_documents_name_are_there() -> None:
    for document in (ROOT / "DEVELOPERS.md", ROOT / "docs/architecture.md"):
        for path in re.findall(r"`((?:core|rigs|notes|tests|docs)/[\w/.]+)`", document.read_text()):
            assert (ROOT / path).exists(), f"{document.name}: {path}"
