"""Sentences from where no Django is known: English as texts, told in the language of the reader."""

from __future__ import annotations

import pickle
from unittest import mock

from django.contrib import messages
from django.contrib.messages.storage.cookie import CookieStorage
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils import translation
from django.utils.translation import gettext_lazy

from core.languages.marked import Said, both_said, in_a_row, ngettext_lazy
from core.languages.words import retold, told
from core.offline.once import waiting

LOUDER = Said(
    "{db:.1f} dB of a test at {where}", db=2.75, where=Said("{kilohertz:g} kilo", kilohertz=1.6)
)


def test_as_a_text_it_is_english() -> None:
    with translation.override("de"):
        assert LOUDER == "2.8 dB of a test at 1.6 kilo"


def test_figures_are_told_as_the_reader_writes_them() -> None:
    with translation.override("de"):
        assert told(LOUDER) == "2,8 dB of a test at 1,6 kilo"


def test_names_are_listed_and_counted() -> None:
    said = ngettext_lazy(
        "{clips} is of a test.", "{clips} are of a test.", 3, clips=("A", "B", "C")
    )
    assert said == told(said) == "A, B and C are of a test."
    one = ngettext_lazy("{clips} is of a test.", "{clips} are of a test.", 1, clips=("A",))
    assert one == told(one) == "A is of a test."


def test_parts_keep_their_figures() -> None:
    row = in_a_row([LOUDER, "as it is"])
    assert row == "2.8 dB of a test at 1.6 kilo, as it is"
    with translation.override("de"):
        assert told(both_said(row, LOUDER)) == (
            "2,8 dB of a test at 1,6 kilo, as it is 2,8 dB of a test at 1,6 kilo"
        )


def test_another_process_gives_it_whole() -> None:
    again = pickle.loads(pickle.dumps(LOUDER))  # noqa: S301 - made above
    with translation.override("de"):
        assert (again, told(again)) == (LOUDER, "2,8 dB of a test at 1,6 kilo")


def test_what_nobody_marked_stays() -> None:
    assert told("2.5 as typed {x}") == "2.5 as typed {x}"


def test_what_is_translated_later_waits_for_the_next_page_as_text(rf: RequestFactory) -> None:
    request = rf.get("/")
    storage = CookieStorage(request)
    request._messages = storage  # type: ignore[attr-defined]
    messages.success(request, gettext_lazy("Saved."))
    assert [type(each.message) for each in waiting(request)] == [str]
    answer = HttpResponse()
    storage.update(answer)
    later = rf.get("/", headers={"cookie": answer.cookies.output(attrs=[], header="")})
    assert [str(each) for each in CookieStorage(later)] == ["Saved."]


def test_what_was_stored_in_english_is_found_by_its_message() -> None:
    known = {"{name} was added": "Neu: {name}", "was added": "ist neu"}
    with mock.patch("core.languages.words._", known.__getitem__):
        assert retold("Head (old) was added", known) == "Neu: Head (old)"
        assert retold("was added", known) == "ist neu"
        assert retold("Head was added yesterday", known) == "Head was added yesterday"
