"""The history of the plot is stored in English, and told in the language of the reader."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import translation
from django.utils.translation import gettext

from rigs.models import PlotChange, Riser
from rigs.plot.facing import facing_words
from rigs.plot.history import Says
from rigs.plot.things import placed
from rigs.plot.words import OfThing, size_words


def told(*words: str) -> list[str]:
    with translation.override("de"):
        return PlotChange(words=list(words)).told


@pytest.mark.parametrize("faces", [None, 0, 90, -30])
@pytest.mark.parametrize(("right", "up"), [("-2.5", "0"), ("0", "3"), ("1", "-0.5")])
def test_where_a_riser_stands_is_told_as_if_it_was_said_now(
    right: str, up: str, faces: int | None
) -> None:
    riser = Riser(name="Drums: high, 2 m wide", width_m=Decimal("2.5"), width_unit="m")
    riser.depth_m, riser.depth_unit = Decimal(2), "m"
    riser.right_m, riser.right_unit = Decimal(right), "m"
    riser.up_m, riser.up_unit = Decimal(up), "m"
    riser.faces = faces

    def said() -> str:
        what = f"{size_words(riser)}, {placed(riser, facing_words(faces))}"
        return f"{riser}: {what}, {OfThing.CHANGED.said()}"

    with translation.override("de"):
        expected = said()
    assert told(said()) == [expected]
    assert expected != said()


@pytest.mark.parametrize(
    ("message", "figures"),
    [
        (Says.STAGE_AS_USUAL, {}),
        (Says.ALL_AS_USUAL, {}),
        (Says.TAKEN_OFF, {"name": "Drums"}),
        (Says.DROP_TAKEN_OFF, {"name": "Mains left"}),
        (Says.PLUGGED, {"unit": "Vera, Amp", "drop": "Left"}),
        (Says.UNPLUGGED, {"unit": "Vera, Amp", "drop": "Left"}),
    ],
)
def test_a_sentence_is_told_whole(message: Says, figures: dict[str, str]) -> None:
    stored = message.in_english(**figures)
    with translation.override("de"):
        expected = message.said(**figures)
    assert told(stored) == [expected]
    assert expected != stored


def test_the_name_of_a_drop_stays_whatever_it_looks_like() -> None:
    with translation.override("de"):
        mains = gettext("Mains")
        place = OfThing.LEFT.said(length="2 m")
    assert told("Mains: stage left, 230 V, 2 m stage left") == [
        f"{mains}: stage left, 230 V, {place}"
    ]
