"""A copy of the source in which a test does what a how-to of the contributors' guide says."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_LEFT_OUT = shutil.ignore_patterns("__pycache__", "demo_files", "browser", "bench")


class SourceCopy:
    """The program and its tests in a folder of their own, and which files differ from before."""

    def __init__(self, folder: Path) -> None:
        self.root = folder / "source"
        for name in ("core", "rigs", "notes", "tests", "docs"):
            shutil.copytree(ROOT / name, self.root / name, ignore=_LEFT_OUT)
        for name in ("manage.py", "pyproject.toml", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, self.root / name)
        self._before = self._files()

    def write(self, name: str, text: str) -> None:
        """A new file; its folder must be there."""
        path = self.root / name
        assert not path.exists(), f"{name} is there already"
        path.write_text(text)

    def put_before(self, name: str, pattern: str, text: str) -> None:
        """Put `text` where `pattern` begins, which must be at one place of the file."""
        path = self.root / name
        changed, places = re.subn(f"(?={pattern})", lambda _: text, path.read_text())
        assert places == 1, f"{pattern} is {places} times in {name}"
        path.write_text(changed)

    def append(self, name: str, text: str) -> None:
        path = self.root / name
        path.write_text(path.read_text() + text)

    def changed(self) -> set[str]:
        """The files that were written or are new."""
        return {name for name, body in self._files().items() if self._before.get(name) != body}

    def run(self, *command: str) -> None:
        """Run Python in the copy; what it says is shown where it fails."""
        environment = {
            **{name: value for name, value in os.environ.items() if name != "DATABASE_URL"},
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "TONELEDGER_DATA": str(self.root.parent / "data"),
            "PYTHONPATH": str(self.root),
            # Files change within a second, and a stale .pyc would be taken for the new source.
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        done = subprocess.run(
            [sys.executable, *command],
            cwd=self.root,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr

    def test(self, *names: str) -> None:
        self.run("-m", "pytest", "-q", "-p", "no:cacheprovider", *names)

    def _files(self) -> dict[str, bytes]:
        kinds = (".py", ".html", ".md")
        found = (path for path in self.root.rglob("*") if path.suffix in kinds)
        return {str(path.relative_to(self.root)): path.read_bytes() for path in found}


def named_files(how_to: str) -> list[re.Pattern[str]]:
    """What a how-to of the guide says under “Files:”; what stands in angle brackets is any name."""
    guide = (ROOT / "DEVELOPERS.md").read_text()
    paragraph = re.search(rf"^\*\*{how_to}\.\*\*(.*?)(?=\n\n)", guide, re.MULTILINE | re.DOTALL)
    assert paragraph is not None, f"The guide has no “{how_to}”"
    said = paragraph[1].partition("Files:")[2]
    return [_pattern(name) for name in re.findall(r"`([^`]+)`", said)]


def _pattern(name: str) -> re.Pattern[str]:
    parts = re.split(r"<[^<>]+>", name)
    return re.compile("[^/]+".join(map(re.escape, parts)))


def assert_takes(how_to: str, changed: set[str]) -> None:
    """Each file of the how-to was changed, and no other."""
    named = named_files(how_to)
    assert named, f"“{how_to}” names no files"
    strays = {name for name in changed if not any(each.fullmatch(name) for each in named)}
    assert not strays, f"“{how_to}” does not name {sorted(strays)}"
    for each in named:
        assert any(each.fullmatch(name) for name in changed), f"{each.pattern} was not needed"
