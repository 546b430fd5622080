"""The history of a show's gear is stored in English, and told in the language of the reader."""

from __future__ import annotations

import pytest
from django.utils import translation
from django.utils.translation import gettext

from rigs.models import UnitAtShow, UnitAtShowChange
from rigs.tonight.history import Says


@pytest.mark.parametrize(
    ("message", "figures"),
    [
        (Says.CAME_FROM, {"make": "Brack Four", "whom": "the house"}),
        (Says.CAME, {"make": "Brack Four"}),
        (Says.DOCUMENTED, {}),
        (Says.NOT_SET, {"name": "Gain"}),
        (Says.TUNED, {"value": "D A D"}),
        (Says.PERMANENT, {"number": "3"}),
        (Says.DID_NOT_WORDS, {"make": "Brack did well: Four", "words": "hum"}),
        (Says.AS_OF_LEG, {}),
    ],
)
def test_what_was_said_is_told_in_german(message: Says, figures: dict[str, str]) -> None:
    change = UnitAtShowChange(words=[message.in_english(**figures)])
    with translation.override("de"):
        assert change.told == [message.said(**figures)]
        assert change.told != change.words


def test_how_long_and_why_are_told_and_what_is_typed_is_not() -> None:
    show = str(UnitAtShow.Lasts.SHOW.label)
    stored = [show, f"Now {show}.", "Gain 3:00", "because: this show only, hum"]
    with translation.override("de"):
        told = UnitAtShowChange(words=stored).told
        lasts = gettext("this show only")
        because = Says.BECAUSE.said(why="this show only, hum")
        assert told == [lasts, Says.NOW.said(lasts=lasts), "Gain 3:00", because]
