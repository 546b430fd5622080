"""What differs in a row is stored in English, and told in the language of the reader."""

from __future__ import annotations

from django.utils import translation

from core.services.changed import changed_retold, changed_words
from rigs.backline.services import _ANSWER, Says
from rigs.models import BacklineAnswer, BacklineChange


def test_labels_and_choices_are_told_and_what_is_typed_is_not() -> None:
    was = BacklineAnswer(offered="Amp → Cab", notes="")
    now = BacklineAnswer(offered="accepted", notes="", reply=BacklineAnswer.Reply.TAKEN)
    stored = changed_words(was, now, _ANSWER)
    with translation.override("de"):
        offered = str(BacklineAnswer._meta.get_field("offered").verbose_name)
        told = [changed_retold(each, BacklineAnswer, _ANSWER) for each in stored]
        taken = str(BacklineAnswer.Reply.TAKEN.label)
    assert told[0] == f"{offered[:1].upper()}{offered[1:]}: Amp → Cab → accepted."
    assert told[1].endswith(f" → {taken}.")
    assert told[1] != stored[1]


def test_a_line_that_is_asked_for_again_is_told() -> None:
    change = BacklineChange(words=["Asked for again.", "Asked for: 1 × Amp.", "Asked for it."])
    with translation.override("de"):
        again, asked, typed = change.told
        assert again == Says.AGAIN.said()
        assert asked == Says.ASKED_FOR.said(line="1 × Amp")
    assert again != change.words[0]
    assert typed == "Asked for it."
