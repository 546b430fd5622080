"""The catalogues of translations: what is missing in them, and their compiled form.

python -m tests.support.catalogues             compile, and say what is missing
python -m tests.support.catalogues --collect   first ask the code for its messages (GNU gettext)
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import polib

ROOT = Path(__file__).resolve().parent.parent.parent
APPS = ("core", "rigs", "notes")
COMPLETE = ("de", "es", "fr")
LANGUAGES = (*COMPLETE, "ja")
DOMAINS = ("django", "djangojs")
_HOLE = re.compile(r"\{[^{}]*\}|%\(\w+\)[a-z]|%%")
_TAG = re.compile(r"</?[a-zA-Z][^>]*>")


def catalogues(*languages: str) -> Iterator[Path]:
    """The files of `languages`, by app and domain."""
    for language in languages or LANGUAGES:
        for app in APPS:
            for domain in DOMAINS:
                path = ROOT / app / "locale" / language / "LC_MESSAGES" / f"{domain}.po"
                if path.exists():
                    yield path


def compiled(path: Path) -> bytes:
    """What `path` compiles to: its own messages in the order of their keys, nothing of the day."""
    return bytes(polib.pofile(str(path)).to_binary())


def missing(path: Path) -> list[str]:
    """The messages of `path` that have no translation yet, or an uncertain one."""
    return [
        entry.msgid
        for entry in polib.pofile(str(path))
        if not entry.obsolete and not entry.translated()
    ]


def wrong(path: Path) -> list[str]:
    """Translations of `path` that lost or gained a placeholder or markup."""
    found = []
    for entry in polib.pofile(str(path)):
        if entry.obsolete or not entry.translated():
            continue
        forms = entry.msgstr_plural.items() if entry.msgid_plural else [(None, entry.msgstr)]
        allowed = [_parts(entry.msgid)]
        if entry.msgid_plural:
            allowed.append(_parts(entry.msgid_plural))
        found += [
            f"{entry.msgid!r}: {text!r}" for _number, text in forms if _parts(text) not in allowed
        ]
    return found


def _parts(text: str) -> tuple[frozenset[str], tuple[str, ...]]:
    return frozenset(_HOLE.findall(text)), tuple(sorted(_TAG.findall(text)))


def collect(root: Path = ROOT) -> None:
    """Bring the catalogues below `root` up to date with the code. Needs GNU gettext."""
    languages = [part for language in LANGUAGES for part in ("-l", language)]
    for app in APPS:
        for domain in DOMAINS:
            subprocess.run(
                [
                    # -P: modules of an app may be called like those of Python.
                    *(sys.executable, "-P", "-m", "django", "makemessages", *languages),
                    *("--domain", domain, "--add-location", "file", "--no-wrap"),
                    *("--no-obsolete", "--verbosity", "0"),
                ],
                cwd=root / app,
                env={**os.environ, "PYTHONPATH": str(root)}
                | {
                    "DJANGO_SETTINGS_MODULE": os.environ.get(
                        "DJANGO_SETTINGS_MODULE", "tests.settings"
                    )
                },
                check=True,
            )


def main(arguments: list[str]) -> None:
    if "--collect" in arguments:
        collect()
    for path in catalogues():
        path.with_suffix(".mo").write_bytes(compiled(path))
        open_, bad = missing(path), wrong(path)
        sys.stdout.write(f"{path.relative_to(ROOT)}: {len(open_)} missing, {len(bad)} wrong\n")
        for each in bad:
            sys.stdout.write(f"  {each}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
