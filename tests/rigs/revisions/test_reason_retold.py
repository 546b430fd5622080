"""Where parts came from is stored in English as the reason, and told in the reader's language."""

from __future__ import annotations

import pytest
from django.utils import translation

from rigs.models import Revision
from rigs.models.revisions import Origin


@pytest.mark.parametrize(
    ("origin", "figures"),
    [
        (Origin.RIG, {"rig": "Kit “A”", "number": "3"}),
        (Origin.UNIT, {"unit": "Head", "rig": "Amp"}),
        (Origin.LIST, {"file": "inputs.csv"}),
    ],
)
def test_an_origin_is_told_and_a_typed_reason_is_not(
    origin: Origin, figures: dict[str, str]
) -> None:
    words = origin.in_english(**figures)

    def told(kind: str, stored: str) -> str:
        return Revision(reason_kind=kind, reason_words=stored).reason_told

    with translation.override("de"):
        assert told("none", words) == origin.said(**figures) != words
        assert told("request", words) == words
        assert told("none", f"{words} Mostly") == f"{words} Mostly"
    assert told("none", words) == words
