"""What the demonstration shows of single shows."""

from __future__ import annotations

import pytest
from django.core.management import call_command

from core.models import Show
from notes.models import EarlierWords, Note, NoteMemo
from rigs.checks.acceptance import findings_with_words_at
from rigs.checks.run import stage_findings
from rigs.shows.players import who_plays
from rigs.shows.stage import stage_of

pytestmark = pytest.mark.django_db


def test_a_finding_of_a_show_is_accepted_and_a_memo_is_written_out() -> None:
    call_command("demo", verbosity=0)
    show = Show.objects.get(room="Winter Garden")
    found = findings_with_words_at(show, stage_findings(stage_of(show)))
    (accepted,) = [each for each in found if each.is_accepted]
    assert accepted.finding.title.endswith("too few for this show")
    memo = NoteMemo.objects.get()
    assert memo.note.words == "More hat than in September."
    assert [each.words for each in EarlierWords.objects.filter(note=memo.note)] == [""]
    assert Note.objects.filter(memo=None).exists()


def test_a_guest_plays_at_one_show_and_somebody_deps_at_another() -> None:
    call_command("demo", verbosity=0)
    said = {each.room: who_plays(each).said for each in Show.objects.select_related("leg")}
    assert said.pop("Tithe Theatre") == ["Lorcan Dray, guest"]
    assert said.pop("Assembly Rooms")[0].startswith("Runa Feld for Olu Bexwith: ")
    assert not any(said.values())
