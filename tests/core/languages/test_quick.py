"""Words that are looked up once stay those of each language, and safe or not as they were."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, gettext_lazy, pgettext, trans_real

from core.languages import quick
from notes.models import Note

catalogues: Any = trans_real


def test_django_says_words_by_it() -> None:
    assert trans_real.gettext is quick.gettext
    assert translation._trans.gettext is quick.gettext  # type: ignore[attr-defined]


def test_each_language_has_its_own_words_however_often_they_are_asked_for() -> None:
    for _ in range(2):
        with translation.override("de"):
            assert gettext("Microphones and DIs") == "Mikrofone und DIs"
            assert pgettext("sound", "no such words") == "no such words"
        with translation.override("en"):
            assert gettext("Microphones and DIs") == "Microphones and DIs"


@pytest.mark.parametrize("safe_first", [True, False])
def test_what_is_safe_stays_safe_and_what_is_not_does_not_become_it(safe_first: bool) -> None:
    words = f"<b>{safe_first}</b>"
    for is_safe in (safe_first, not safe_first, safe_first):
        said = gettext(mark_safe(words) if is_safe else words)  # noqa: S308
        assert isinstance(said, SafeString) == is_safe
        assert said == words


def test_catalogues_that_are_read_anew_begin_without_what_was_looked_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with translation.override("de"):
        gettext("Devices")
        known = catalogues._active.value
        assert known.__dict__[str]["Devices"] == gettext("Devices")
        monkeypatch.setitem(known.__dict__[str], "Devices", "of before")
    monkeypatch.setattr(catalogues, "_translations", {})
    with translation.override("de"):
        assert gettext("Devices") != "of before"


def test_labels_of_choices_are_those_of_the_reader() -> None:
    note = Note(verdict="keep")
    with translation.override("de"):
        german = note.get_verdict_display()
    with translation.override("en"):
        assert note.get_verdict_display() == "keep"
    assert german == translation.override("de")(lambda: gettext("keep"))() != "keep"
    note.verdict = "no such"
    assert note.get_verdict_display() == "no such"


def test_a_lazy_word_and_an_empty_one_come_back_as_what_they_are() -> None:
    assert gettext("") == ""
    assert str(gettext_lazy("Devices")) == gettext("Devices")
