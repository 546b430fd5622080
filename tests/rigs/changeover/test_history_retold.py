"""The history of a changeover is stored in English, and told in the language of the reader."""

from __future__ import annotations

from dataclasses import replace

from django.utils import translation

from rigs.changeover.services import told_of
from rigs.changeover.state import STRIKE, Plan, Says, Step, in_words
from rigs.models import ChangeoverChange

FIRST = Step("1", STRIKE, "Risers off", "riser:x", "user:x", 60)


def test_what_changed_is_told_as_if_it_was_said_now() -> None:
    before = Plan((FIRST, Step("2", words="Put in. Drums", who="Vera")), there_s=600)
    changed = replace(FIRST, place="riser:gone", who="user:gone", planned_s=None)
    after = Plan((replace(changed, side_by_side=False), Step("3", STRIKE, "Mics")))
    for one, other in ((before, after), (after, before)):
        change = ChangeoverChange(words=in_words(one, other, {}))
        with translation.override("de"):
            assert change.told == in_words(one, other, {})
            assert not set(change.told) & set(change.words)


def test_what_is_to_be_done_stays_as_typed() -> None:
    words = in_words(Plan((FIRST,)), Plan((replace(FIRST, words="Strike"),)), {})
    with translation.override("de"):
        assert ChangeoverChange(words=words).told == in_words(
            Plan((FIRST,)), Plan((replace(FIRST, words="Strike"),)), {}
        )
        assert ChangeoverChange(words=words).told[0].endswith(": Strike.")


def test_where_it_came_from_is_told() -> None:
    change = ChangeoverChange(
        words=[
            "First steps from what plays.",
            "Begun with the changeover of 3 Dec 2026 · May Hall.",
        ]
    )
    with translation.override("de"):
        assert told_of(change) == [
            Says.FIRST_STEPS.said(),
            Says.BEGUN.said(show="3. Dez. 2026 · May Hall"),
        ]
        assert not set(change.told) & set(change.words)
