"""The history of the patch is stored in English, and told in the language of the reader."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.utils import translation
from django.utils.translation import gettext, ngettext

from rigs.models import PatchChange
from rigs.patch.history import NO_WAY, OfGuests, OfLine, Says


def told(*words: str) -> list[str]:
    with translation.override("de"):
        return PatchChange(by_id=uuid4(), words=list(words)).told


def in_german(words: str) -> str:
    with translation.override("de"):
        return gettext(words)


def test_what_became_of_a_line_is_told_piece_by_piece() -> None:
    stored = "Kick: no way → A 1, monitor 4, split as the box says, phantom power from the FOH desk"
    with translation.override("de"):
        pieces = [
            f"{gettext(NO_WAY)} → A 1",
            OfLine.MONITOR.said(channel=4),
            OfLine.SPLIT_AS_BOX.said(),
            OfLine.PHANTOM.said(source=gettext("the FOH desk")),
        ]
    assert told(stored) == ["Kick: " + ", ".join(pieces)]
    assert told("Kick: A 1, monitor none") == [f"Kick: A 1, {in_german('monitor none')}"]


@pytest.mark.parametrize(
    ("message", "figures"),
    [
        (Says.AS_USUAL, {"name": "Kick: in"}),
        (Says.TAKEN_OFF, {"name": "Box"}),
        (Says.PLUGGED, {"run": "A 1–8 → B 1–8"}),
        (Says.LENT_NO_MORE, {"what": "Drums, all", "act": "Gull"}),
    ],
)
def test_a_sentence_is_told_whole(message: Says, figures: dict[str, str]) -> None:
    stored = message.in_english(**figures)
    with translation.override("de"):
        expected = message.said(**figures)
    assert told(stored) == [expected]
    assert expected != stored


def test_of_a_box_its_kind_is_told_and_its_name_is_not() -> None:
    stored = "loom: loom A of 8 ways, changed"
    with translation.override("de"):
        expected = Says.BOX.said(name="loom", kind=gettext("loom"), mark="A", n=8)
    assert told(stored) == [expected]


def test_what_stands_in_the_place_of_a_box_is_typed_but_for_its_ways() -> None:
    with translation.override("de"):
        ways = ngettext("{n} way", "{n} ways", 12).format(n=12)
    assert told("A: no way, 12 ways, monitor 4") == [f"A: no way, {ways}, monitor 4"]


def test_of_a_guest_only_what_is_ours_is_told() -> None:
    about = OfGuests.ABOUT.in_english(ways="3 Kick; 4 Snare", words="no way: taken off")
    typed = ["Kick: taken off", "About the desk: who brings it?"]
    change = PatchChange(by=None, words=[about, *typed])
    with translation.override("de"):
        ours = OfGuests.ABOUT.said(ways="3 Kick; 4 Snare", words="no way: taken off")
        assert change.told == [ours, *typed]
