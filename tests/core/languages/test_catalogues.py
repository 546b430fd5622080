"""Catalogues: complete, with every placeholder, compiled, and up to date with the code."""

from __future__ import annotations

import shutil
from pathlib import Path

import polib
import pytest

from tests.support import catalogues
from tests.support.source_copy import SourceCopy
from tests.support.unmarked import unmarked_in_template

TEMPLATES = sorted(
    path
    for app in catalogues.APPS
    for path in (catalogues.ROOT / app / "templates").rglob("*")
    if path.suffix in (".html", ".txt")
)


def names(paths: list[Path]) -> list[str]:
    return [str(path.relative_to(catalogues.ROOT)) for path in paths]


ALL = sorted(catalogues.catalogues())


@pytest.mark.parametrize("path", ALL, ids=names(ALL))
def test_no_placeholder_is_lost(path: Path) -> None:
    assert catalogues.wrong(path) == []


@pytest.mark.parametrize("path", ALL, ids=names(ALL))
def test_what_is_compiled_is_the_catalogue(path: Path) -> None:
    """As GNU gettext's own reader in Python's library reads it, too."""
    assert path.with_suffix(".mo").read_bytes() == catalogues.compiled(path)


COMPLETE = sorted(catalogues.catalogues(*catalogues.COMPLETE))


@pytest.mark.parametrize("path", COMPLETE, ids=names(COMPLETE))
def test_nothing_is_missing_where_a_language_is_complete(path: Path) -> None:
    assert catalogues.missing(path) == []


def test_no_template_says_a_word_past_the_translations() -> None:
    wrong = [
        f"{path.relative_to(catalogues.ROOT)}:{each.line}: {each.text}"
        for path in TEMPLATES
        for each in unmarked_in_template(path.read_text())
    ]
    assert len(TEMPLATES) > 500
    assert wrong == []


def test_the_finder_finds() -> None:
    found = unmarked_in_template(
        '{% load i18n %}<p title="Left">{% translate "Said" %} dB and {{ x }}</p>'
        '{% include "a.html" with words="Two words" %}{% icon "mic" _("Marked") %}'
        "{% blocktranslate %}Inside{% endblocktranslate %}<code>Typed</code>"
    )
    assert [each.text for each in found] == [
        "\x01 dB and \x01",
        "include: Two words",
        "title: Left",
    ]


@pytest.mark.skipif(not shutil.which("xgettext"), reason="GNU gettext is not installed")
def test_every_message_of_the_code_is_in_the_catalogues(tmp_path: Path) -> None:
    copy = SourceCopy(tmp_path).root
    catalogues.collect(copy)
    for path in ALL:
        fresh = polib.pofile(str(copy / path.relative_to(catalogues.ROOT)))
        kept = polib.pofile(str(path))
        assert _messages(fresh) == _messages(kept), path.relative_to(catalogues.ROOT)


def _messages(catalogue: polib.POFile) -> set[tuple[str, str, str]]:
    return {
        (entry.msgctxt or "", entry.msgid, entry.msgid_plural)
        for entry in catalogue
        if not entry.obsolete
    }
