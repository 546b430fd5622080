"""Marks: every state, what holds for the day alone, what departs from the signed sound, the end."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from core.models import Leg, Show
from notes.linecheck.permanent import NO_SUBSTITUTE, make_permanent
from notes.linecheck.report import lines_of, next_anchor, report, tallies, with_next
from notes.linecheck.services import Deviation, MarkedMeanwhile, close, mark, reopen
from notes.models import LineCheck, LineCheckMark
from notes.signing.services import sign
from rigs.changes.edits import Add, Retire, Set
from rigs.changes.reasons import ReasonRequired
from rigs.models import Input, Revision, Rig, ShowInput
from rigs.revisions.read import live
from rigs.revisions.record import Conflict
from rigs.shows.rigs import choose
from rigs.shows.services import differ
from tests.rigs.shows.shows import make_show
from tests.support.world import HIRE, World, make_device, make_world

FELL = ("failure", "Ours fell over at load-in.")


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


def another(world: World, number: int, **more: Any) -> Input:
    part = str(uuid4())
    fields = {"name": f"Input {number}", "number": number, "device": str(world.mic.pk), **more}
    world.record(Add(part, "input", fields), reason=HIRE)
    return Input.objects.get(pk=part)


def signed(world: World) -> Any:
    world.rig.refresh_from_db()
    return sign(
        rig=world.rig,
        party="player",
        decision="signed",
        revision=world.rig.head_number,
        user=world.people["player"],
    )


def now(world: World) -> tuple[Any, str, int]:
    rig = Rig.objects.get(pk=world.rig.pk)
    return live(rig), rig.head_digest, Revision.objects.count()


def test_the_first_mark_opens_the_check(world: World, show: Show) -> None:
    made = mark(show, world.input, state="ok", by=world.people["crew"])
    check = LineCheck.objects.get()
    assert (check.show, check.opened_by, check.is_finished) == (show, world.people["crew"], False)
    assert (made.state, made.version, made.is_unexplained, made.departs_from) == (
        "ok",
        1,
        False,
        None,
    )
    mark(show, world.input, state="ok", by=world.tech, seen=1)
    assert LineCheck.objects.get().opened_by == world.people["crew"]
    assert LineCheckMark.objects.count() == 1


@pytest.mark.parametrize("state", ["deviates", "absent"])
def test_a_press_is_kept_and_still_wants_its_words(world: World, show: Show, state: str) -> None:
    made = mark(show, world.input, state=state, by=world.tech)
    assert made.is_unexplained
    assert not ShowInput.objects.exists()
    with pytest.raises(ValidationError, match="Say what changed and why first: 7 Bass mic"):
        close(made.line_check, by=world.tech, who_was_told="", to_repair="")


def test_a_substitute_is_of_that_show_alone_and_departs_from_what_was_signed(
    world: World, show: Show
) -> None:
    signature, before = signed(world), now(world)
    made = mark(
        show,
        world.input,
        state="deviates",
        by=world.tech,
        difference=Deviation(*FELL, world.other_mic),
    )
    assert (made.device, made.instead_of) == (world.other_mic, world.mic)
    assert (made.why, made.words, made.departs_from) == (*FELL, signature)
    day = ShowInput.objects.get()
    assert (day.show, day.device, day.why, day.words) == (show, world.other_mic, *FELL)
    assert now(world) == before


def test_the_check_that_it_suits_is_written_down(world: World, show: Show) -> None:
    # 20 lg (20/2) = 20 dB: definition of the decibel for field quantities.
    world.mic.sensitivity_mv_pa = Decimal(2)
    world.mic.save()
    other = make_device(
        world.production,
        "Selvage C",
        principle="condenser",
        pattern="omni",
        phantom=True,
        sensitivity_mv_pa=Decimal(20),
    )
    said = Deviation(*FELL, other, as_it_is=True)
    made = mark(show, world.input, state="deviates", by=world.tech, difference=said)
    level, pattern, phantom = "20.0 dB more sensitive", "omni", "needs phantom power, which is off"
    for told in (level, pattern, phantom):
        assert told in made.to_mind
    assert len(made.cautions) == 3
    # What was found stays, whatever becomes of the catalogue.
    other.sensitivity_mv_pa = Decimal(2)
    other.save()
    assert level in report(show).deviates[0].mark.to_mind


def test_a_deviation_without_a_substitute_is_words(world: World, show: Show) -> None:
    made = mark(
        show,
        world.input,
        state="deviates",
        by=world.tech,
        difference=Deviation("room", "Stand moved left."),
    )
    assert (made.device, made.is_unexplained) == (None, False)
    assert not ShowInput.objects.exists()


def test_absent_is_noted_for_the_show_and_taken_back_by_ok(world: World, show: Show) -> None:
    made = mark(
        show,
        world.input,
        state="absent",
        by=world.tech,
        difference=Deviation("room", "No floor for it."),
    )
    assert ShowInput.objects.get().absent
    again = mark(show, world.input, state="ok", by=world.tech, seen=made.version)
    assert not ShowInput.objects.exists()
    assert (again.state, again.why, again.words) == ("ok", "", "")


def test_what_the_list_of_the_show_says_already_needs_no_second_word(
    world: World, show: Show
) -> None:
    said = {"why": "hire", "words": "Ours is at the bench."}
    differ(show, world.input, by=world.engineer, device=world.other_mic, **said)
    made = mark(show, world.input, state="ok", by=world.tech)
    assert (made.device, made.why, made.words) == (world.other_mic, *said.values())
    assert [each.mark for each in report(show).expected] == [made]
    absent = another(world, 8)
    differ(show, absent, by=world.engineer, absent=True, why="room", words="No room.")
    assert mark(show, absent, state="absent", by=world.tech).words == "No room."


def test_a_substitute_taken_away_again_leaves_the_list(world: World, show: Show) -> None:
    made = mark(
        show,
        world.input,
        state="deviates",
        by=world.tech,
        difference=Deviation(*FELL, world.other_mic),
    )
    mark(
        show,
        world.input,
        state="deviates",
        by=world.tech,
        seen=made.version,
        difference=Deviation("failure", "Its cable, not the microphone."),
    )
    assert not ShowInput.objects.exists()
    assert LineCheckMark.objects.get().device is None


@pytest.mark.parametrize(
    ("state", "said", "field"),
    [
        ("deviates", Deviation("", "Buzz."), "why"),
        ("deviates", Deviation("room", " "), "words"),
        ("absent", Deviation("", ""), "words"),
    ],
)
def test_what_is_not_said_is_asked_for(
    world: World, show: Show, state: str, said: Deviation, field: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        mark(show, world.input, state=state, by=world.tech, difference=said)
    assert field in refused.value.message_dict
    assert not LineCheck.objects.exists()


def test_ok_has_nothing_to_explain(world: World, show: Show) -> None:
    with pytest.raises(ValidationError, match="nothing to explain"):
        mark(show, world.input, state="ok", by=world.tech, difference=Deviation(*FELL))


def test_somebody_else_s_mark_is_not_written_over(world: World, show: Show) -> None:
    said = Deviation(*FELL, world.other_mic)
    mark(show, world.input, state="deviates", by=world.engineer, seen=0, difference=said)
    with pytest.raises(MarkedMeanwhile, match="as changed .“Ours fell over"):
        mark(show, world.input, state="ok", by=world.tech, seen=0)
    assert LineCheckMark.objects.get().state == "deviates"
    # Both found the same: nothing is lost, nothing is refused.
    assert mark(show, world.input, state="deviates", by=world.tech, seen=0).words == FELL[1]


def test_a_finished_check_takes_no_mark_until_it_is_opened_again(world: World, show: Show) -> None:
    check = mark(show, world.input, state="ok", by=world.tech).line_check
    close(check, by=world.tech, who_was_told=" Ines. ", to_repair="")
    with pytest.raises(ValidationError, match="finished"):
        mark(show, world.input, state="absent", by=world.tech)
    check = LineCheck.objects.get()
    assert (check.closed_by, check.who_was_told, check.is_finished) == (world.tech, "Ines.", True)
    at = check.closed_at
    close(check, by=world.engineer, who_was_told="Ines, Tarn.", to_repair="")
    check = LineCheck.objects.get()
    assert (check.closed_by, check.closed_at) == (world.tech, at)
    reopen(show)
    assert mark(show, world.input, state="ok", by=world.tech).version == 2
    assert LineCheck.objects.get().who_was_told == "Ines, Tarn."


@pytest.mark.parametrize("what", ["show", "input"])
def test_what_is_retired_takes_no_mark(world: World, show: Show, what: str) -> None:
    another(world, 8)
    if what == "show":
        show.retire()
    else:
        world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    entry = Input.objects.get(pk=world.input.pk)
    with pytest.raises(ValidationError, match="retired"):
        mark(show, entry, state="ok", by=world.tech)


def test_an_input_of_another_production_is_refused(world: World, show: Show) -> None:
    with pytest.raises(ValidationError):
        mark(show, make_world("Elsewhere").input, state="ok", by=world.tech)


def test_one_input_has_one_mark(world: World, show: Show) -> None:
    made = mark(show, world.input, state="ok", by=world.tech)
    with pytest.raises(IntegrityError), transaction.atomic():
        LineCheckMark.objects.create(
            line_check=made.line_check, input=world.input, state="ok", by=world.tech
        )


def test_the_thumb_goes_to_the_next_unmarked_input(world: World, show: Show) -> None:
    entries = {n: another(world, n) for n in (1, 9)}
    names = [line.day.entry.number for line in lines_of(show)]
    assert names == [1, 7, 9]
    mark(show, world.input, state="ok", by=world.tech)
    assert next_anchor(lines_of(show), world.input.pk) == f"input-{entries[9].pk}"
    mark(show, entries[9], state="ok", by=world.tech)
    assert next_anchor(lines_of(show), entries[9].pk) == f"input-{entries[1].pk}"
    mark(show, entries[1], state="ok", by=world.tech)
    assert next_anchor(lines_of(show), entries[1].pk) == "finish"


def test_the_report_tells_each_state(world: World, show: Show) -> None:
    signed(world)
    absent, ok, left = (another(world, n) for n in (8, 9, 10))
    world.record(Set(str(world.rig.pk), "rig", {"sound": "Bright now."}))
    said = Deviation(*FELL, world.other_mic)
    mark(show, world.input, state="deviates", by=world.tech, difference=said)
    mark(show, absent, state="absent", by=world.tech, difference=Deviation("room", "No floor."))
    mark(show, ok, state="ok", by=world.tech)
    told = report(show)
    assert (told.ok, told.count) == (1, 4)
    assert [each.mark.input for each in told.deviates] == [world.input]
    # The words as they were signed, not those of today.
    assert told.deviates[0].signed_sound == "Warm, woody, no clank."
    assert told.deviates[0].why == "something failed"
    assert [each.mark.input for each in told.absent] == [absent]
    assert [day.entry for day in told.unmarked] == [left]
    [tally] = tallies(Leg.objects.get(pk=show.leg_id))
    assert tally[2:] == (4, 3, 1, 1)


def test_permanent_is_one_change_with_the_stated_reason(world: World, show: Show) -> None:
    said = Deviation("hire", "Ours is in repair.", world.other_mic)
    mark(show, world.input, state="deviates", by=world.tech, difference=said)
    world.rig.refresh_from_db()
    count, base = Revision.objects.count(), world.rig.head_number
    entry = Input.objects.select_related("rig").get(pk=world.input.pk)
    words = "The hired one stays for the tour."
    made = make_permanent(show, entry, by=world.engineer, base=base, words=words)
    assert made is not None
    assert Revision.objects.count() == count + 1
    assert (made.reason_kind, made.reason_words, made.author) == ("hire", words, world.engineer)
    assert [(c.field, c.new) for c in made.changes.all()] == [("device", str(world.other_mic.pk))]
    assert Input.objects.get(pk=entry.pk).device == world.other_mic
    assert not ShowInput.objects.exists()
    # The report still says what happened, and what became of it.
    [found] = report(show).deviates
    assert (found.mark.device, found.mark.instead_of) == (world.other_mic, world.mic)
    assert found.mark.permanent == made
    with pytest.raises(ValidationError, match=str(NO_SUBSTITUTE)):
        make_permanent(show, entry, by=world.engineer, base=made.number, words=words)


def test_what_belongs_to_the_device_goes_along_and_the_day_keeps_its_own(
    world: World, show: Show
) -> None:
    differ(
        show,
        world.input,
        by=world.tech,
        device=world.other_mic,
        phantom=True,
        number=3,
        stand="short boom",
        why="failure",
        words="Ours is dead.",
    )
    base = Rig.objects.get(pk=world.rig.pk).head_number
    entry = Input.objects.select_related("rig").get(pk=world.input.pk)
    make_permanent(show, entry, by=world.tech, base=base, words="Ours is dead.")
    entry.refresh_from_db()
    assert (entry.device, entry.phantom, entry.number, entry.stand) == (
        world.other_mic,
        True,
        7,
        "",
    )
    left = ShowInput.objects.get()
    assert (left.device, left.phantom, left.number, left.stand) == (None, None, 3, "short boom")


def test_permanent_is_refused_without_words_or_after_somebody_else(
    world: World, show: Show
) -> None:
    said = Deviation(*FELL, world.other_mic)
    mark(show, world.input, state="deviates", by=world.tech, difference=said)
    base = Rig.objects.get(pk=world.rig.pk).head_number
    before = now(world)
    entry = Input.objects.select_related("rig").get(pk=world.input.pk)
    with pytest.raises(ReasonRequired):
        make_permanent(show, entry, by=world.tech, base=base, words=" ")
    assert now(world) == before
    world.swap(make_device(world.production, "Third"), reason=HIRE)
    with pytest.raises(Conflict):
        make_permanent(show, entry, by=world.tech, base=base, words="Stays.")
    assert ShowInput.objects.get().device == world.other_mic


def test_one_s_own_press_is_no_news_to_oneself(world: World, show: Show) -> None:
    """Written without a network, what and why know nothing yet of the press before them."""
    mark(show, world.input, state="deviates", by=world.tech, seen=0)
    told = mark(
        show, world.input, state="deviates", by=world.tech, seen=0, difference=Deviation(*FELL)
    )
    assert (told.words, told.version) == (FELL[1], 2)


def test_what_another_said_of_the_same_state_is_not_written_over(world: World, show: Show) -> None:
    mark(
        show,
        world.input,
        state="deviates",
        by=world.engineer,
        difference=Deviation("room", "A pillar."),
    )
    same = mark(show, world.input, state="deviates", by=world.tech, seen=0)
    assert (same.by, same.version) == (world.engineer, 1)
    with pytest.raises(MarkedMeanwhile, match="A pillar"):
        mark(
            show, world.input, state="deviates", by=world.tech, seen=0, difference=Deviation(*FELL)
        )


def test_what_left_the_list_need_not_be_explained(world: World, show: Show) -> None:
    check = mark(show, world.input, state="absent", by=world.tech).line_check
    with pytest.raises(ValidationError, match="what changed and why first"):
        close(check, by=world.tech, who_was_told="", to_repair="")
    choose(show, shown={world.rig.pk: True}, playing=[], by=world.tech)
    assert tallies(Leg.objects.get(pk=show.leg_id))[0][2:] == (0, 0, 0, 0)
    close(check, by=world.tech, who_was_told="Ines.", to_repair="")
    # What was found stays in the report, and so does that the rig stayed out.
    told = report(show)
    assert [each.mark.input for each in told.absent] == [world.input]
    assert [(each.rig, each.plays) for each in told.who.unusual_rigs] == [(world.rig, False)]


def test_without_a_network_the_thumb_goes_to_the_next_unmarked_below(
    world: World, show: Show
) -> None:
    first, last = (another(world, n) for n in (1, 9))
    mark(show, world.input, state="ok", by=world.tech)
    assert [after for _, after in with_next(lines_of(show))] == [
        f"input-{last.pk}",
        f"input-{last.pk}",
        "finish",
    ]
    assert first != last
