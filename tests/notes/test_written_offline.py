"""What waited for a network is of the moment it was written, and of what its page showed.

The story and its times are those of the tests themselves: opened at 21:30, changed by somebody else
at 21:45, written at 21:54, arrived at 22:02. A device's clock is in no standard; that the time
between two readings of one clock is right however wrong that clock is set: common practice, no
source.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from html import unescape
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from core import clock
from core.models import Leg, SetChange, Song, User
from core.sets.order import set_of_show
from notes.handover.changes import _difference
from notes.handover.services import ask
from notes.linecheck.services import mark
from notes.models import Acknowledgement, Answer, LineCheck, LineCheckMark, Note, Question
from notes.signing.services import sign
from notes.signing.since import since_revision
from rigs.models import Revision, ShowDep, ShowRig
from rigs.paper.sheets import stamp
from rigs.revisions.verify import verify_rig
from rigs.revisions.writer import iso
from rigs.search.changes import changes
from tests.notes.handover.published_support import published, words
from tests.notes.handover.support import legs
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at
from tests.support.rig_pages import Page
from tests.support.world import HIRE, World

OPENED = datetime(2031, 3, 4, 21, 30, tzinfo=UTC)
CHANGED, WRITTEN, ARRIVED = (OPENED + timedelta(minutes=m) for m in (15, 24, 32))
NOTE = {"words": "Wool, not wire.", "verdict": "adjust", "version": "1"}


def logged_in(person: User) -> Client:
    """Before the page was opened: a log-in of today would be long over."""
    with clock.set_to(OPENED):
        return as_user(person)


def opened(client: Client, url: str) -> str:
    """The stamp of the page as a device has it that opened it at 21:30."""
    with clock.set_to(OPENED):
        html = client.get(url).content.decode()
    found = re.search(r'<meta name="page-made" content="([^"]+)">', html)
    assert found is not None
    return unescape(found[1])


def arrive(
    client: Client,
    url: str,
    data: dict[str, Any],
    stamp: str,
    *,
    said: datetime = WRITTEN,
    sent: datetime | None = ARRIVED,
    now: datetime = ARRIVED,
    key: str = "",
) -> Any:
    """As the worker sends what waited, at 22:02."""
    headers = {
        "Idempotency-Key": f'"{key or uuid4()}"',
        "Written-At": said.isoformat(),
        "Page-Made": stamp,
        **({"Sent-At": sent.isoformat()} if sent else {}),
    }
    with clock.set_to(now):
        answer = client.post(url, data, headers=headers)
    assert answer.status_code == 302, answer.content.decode()
    return answer


def note_of(client: Client, world: World, stamp: str, **more: Any) -> Note:
    arrive(client, at(world, "notes:note_new", world.rig.pk), NOTE, stamp, **more)
    return Note.objects.get()


def test_a_note_is_of_the_rig_and_the_time_it_was_written_on(world: World) -> None:
    tech = logged_in(world.tech)
    stamp = opened(tech, at(world, "notes:note_new", world.rig.pk))
    before = world.rig.head_number
    with clock.set_to(CHANGED):
        made = world.swap(world.other_mic, HIRE)
    note = note_of(tech, world, stamp)
    assert made is not None
    assert (note.heard_at, note.written_at) == (before, WRITTEN)
    assert (note.arrived_at, note.page_at) == (ARRIVED, OPENED)

    html = " ".join(tech.get(note.get_absolute_url()).content.decode().split())
    text = re.sub(r"<[^>]+>", "", html)
    assert "Written 4 Mar, 21:54, arrived 4 Mar, 22:02; on a page of 4 Mar, 21:30" in text
    assert f"with the rig as of change {before}" in text
    assert f"which the page did not show: change {made.number} of 4 Mar, 21:45" in text


def test_a_form_that_lay_open_is_of_what_it_showed_although_it_was_sent_at_once(
    world: World,
) -> None:
    tech = logged_in(world.tech)
    stamp = opened(tech, at(world, "notes:note_new", world.rig.pk))
    before = world.rig.head_number
    with clock.set_to(CHANGED):
        world.swap(world.other_mic, HIRE)
    note = note_of(tech, world, stamp, said=ARRIVED - timedelta(seconds=1))
    assert (note.heard_at, note.written_at) == (before, ARRIVED)
    assert (note.arrived_at, note.page_at, note.device_said) == (None, None, None)


@pytest.mark.parametrize("wrong", [timedelta(hours=-3), timedelta(days=400)])
def test_a_clock_that_is_wrong_does_no_harm(world: World, wrong: timedelta) -> None:
    tech = logged_in(world.tech)
    stamp = opened(tech, at(world, "notes:note_new", world.rig.pk))
    note = note_of(tech, world, stamp, said=WRITTEN + wrong, sent=ARRIVED + wrong)
    assert (note.written_at, note.arrived_at, note.device_said) == (WRITTEN, ARRIVED, None)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (ARRIVED + timedelta(hours=1), "The device said 4 Mar, 23:02, which is later than that"),
        (OPENED - timedelta(hours=1), "which is before the page was opened"),
    ],
)
def test_a_moment_that_cannot_be_is_doubted(world: World, said: datetime, words: str) -> None:
    tech = logged_in(world.tech)
    stamp = opened(tech, at(world, "notes:note_new", world.rig.pk))
    note = note_of(tech, world, stamp, said=said)
    assert (note.written_at, note.arrived_at, note.device_said) == (ARRIVED, ARRIVED, said)
    text = re.sub(r"<[^>]+>", "", tech.get(note.get_absolute_url()).content.decode())
    assert words in " ".join(text.split())


@pytest.mark.parametrize("stamp", ["", OPENED.isoformat(), "2031-03-04T21:30:00+00:00:forged"])
def test_without_a_stamp_of_this_server_no_moment_is_believed(world: World, stamp: str) -> None:
    note = note_of(logged_in(world.tech), world, stamp)
    assert (note.written_at, note.device_said) == (ARRIVED, WRITTEN)
    assert note.heard_at == world.rig.head_number


@pytest.mark.parametrize("said", ["yesterday", "2031-13-45T99:00:00Z", "2031-03-04T21:54:00"])
def test_what_is_no_moment_is_none(world: World, said: str) -> None:
    client, url = logged_in(world.tech), at(world, "notes:note_new", world.rig.pk)
    headers = {"Idempotency-Key": f'"{uuid4()}"', "Written-At": said}
    with clock.set_to(ARRIVED):
        assert client.post(url, NOTE, headers=headers).status_code == 302
    assert Note.objects.values_list("written_at", "arrived_at").get() == (ARRIVED, None)


def test_putting_a_note_to_rest(world: World) -> None:
    tech, url = logged_in(world.tech), at(world, "notes:note_new", world.rig.pk)
    note = note_of(tech, world, opened(tech, url))
    settle = at(world, "notes:note_settle", note.pk)
    arrive(tech, settle, {"settled_words": "It was the room."}, opened(tech, settle))
    note.refresh_from_db()
    assert (note.settled_at, note.settled_arrived_at) == (WRITTEN, ARRIVED)


def test_a_change_of_a_rig_says_both_and_its_chain_holds(world: World) -> None:
    url = at(world, "rigs:unit", world.rig.pk, world.unit.pk)
    tech = logged_in(world.tech)
    stamp, form = opened(tech, url), Page(tech, url)
    fields = form.response.context["form"].fields.items()
    gain = next(name for name, field in fields if field.label == "Gain")
    arrive(tech, url, form.sent | {gain: "4:00"}, stamp)
    made = Revision.objects.filter(rig=world.rig).order_by("-number")[0]
    assert (made.written_at, made.at, made.device_said) == (WRITTEN, ARRIVED, None)
    world.rig.refresh_from_db()
    assert verify_rig(world.rig) == made.number
    html = tech.get(at(world, "rigs:history", world.rig.pk)).content.decode()
    text = " ".join(re.sub(r"<[^>]+>", "", html).split())
    assert "Written 4 Mar, 21:54, arrived 4 Mar, 22:02" in text


def test_every_page_dates_a_change_by_when_it_was_written(world: World) -> None:
    """The device waited from before midnight until the next day."""
    url, tech = at(world, "rigs:unit", world.rig.pk, world.unit.pk), logged_in(world.tech)
    with clock.set_to(OPENED):
        sign(rig=world.rig, party="tech", decision="signed", user=world.tech, revision=1)
    form = Page(tech, url)
    fields = form.response.context["form"].fields.items()
    gain = next(name for name, field in fields if field.label == "Gain")
    sent = form.sent | {"reason_kind": "room", "reason_words": "Dead stage."}
    next_day = ARRIVED + timedelta(days=1)
    arrive(tech, url, sent | {gain: "4:00"}, opened(tech, url), sent=None, now=next_day)
    made = Revision.objects.get(rig=world.rig, number=2)
    assert (made.happened_at, made.at) == (WRITTEN, next_day)
    world.rig.refresh_from_db()

    rig = tech.get(at(world, "rigs:rig", world.rig.pk)).content.decode()
    assert "4 Mar 2031" in rig
    assert "5 Mar 2031" not in rig
    restored = tech.get(at(world, "rigs:restore", world.rig.pk, 1)).content.decode()
    assert "5 Mar 2031" not in restored
    timeline = tech.get(at(world, "notes:timeline")).content.decode()
    assert "4 Mar 2031" in timeline
    assert "5 Mar 2031" not in timeline
    assert [hit.at for hit in changes(Revision.objects.filter(pk=made.pk))] == [WRITTEN]
    assert "4 Mar 2031 21:54" in stamp(made)
    (told,) = since_revision(world.rig, 1).parts
    assert _difference(told)["why"][0]["at"] == iso(WRITTEN)


def test_a_mark_and_the_end_of_a_line_check(world: World) -> None:
    show, crew = make_show(world), logged_in(world.people["crew"])
    list_url = at(world, "notes:line_check", show.pk)
    stamp = opened(crew, list_url)
    url = at(world, "notes:line_check_mark", show.pk, world.input.pk)
    arrive(crew, url, {"state": "ok", "seen": "0"}, stamp)
    found = LineCheckMark.objects.get()
    assert (found.at, found.arrived_at, found.page_at) == (WRITTEN, ARRIVED, OPENED)
    text = " ".join(re.sub(r"<[^>]+>", "", crew.get(list_url).content.decode()).split())
    assert "Written 4 Mar, 21:54, arrived 4 Mar, 22:02" in text

    finish = at(world, "notes:line_check_finish", show.pk)
    arrive(crew, finish, {"who_was_told": "Ines", "version": "1"}, stamp)
    check = LineCheck.objects.get()
    assert (check.opened_at, check.closed_at, check.closed_arrived_at) == (
        WRITTEN,
        WRITTEN,
        ARRIVED,
    )


def test_a_mark_made_again_at_once_waited_no_more(world: World) -> None:
    show, crew = make_show(world), logged_in(world.people["crew"])
    stamp = opened(crew, at(world, "notes:line_check", show.pk))
    url = at(world, "notes:line_check_mark", show.pk, world.input.pk)
    arrive(crew, url, {"state": "ok", "seen": "0"}, stamp)
    mark(show, world.input, state="absent", by=world.people["crew"])
    found = LineCheckMark.objects.get()
    assert (found.arrived_at, found.page_at) == (None, None)


def test_which_rigs_play(world: World) -> None:
    show, tech = make_show(world), logged_in(world.tech)
    url = at(world, "rigs:show_rigs", show.pk)
    stamp, form = opened(tech, url), Page(tech, url)
    arrive(tech, url, {k: v for k, v in form.sent.items() if not k.startswith("player-")}, stamp)
    assert ShowRig.objects.values_list("at", "arrived_at").get() == (WRITTEN, ARRIVED)


def test_a_set_that_was_saved_without_a_network(world: World) -> None:
    """Sent again, it is done once; what others changed meanwhile stays."""
    show, tech = make_show(world), logged_in(world.tech)
    for position, title in enumerate(("Early Bus", "Salt Road")):
        Song.objects.create(production=world.production, title=title, position=position)
    url = at(world, "core:show_set", show.pk)
    stamp = opened(tech, url)
    first, second = set_of_show(show).lines
    sent = {"version": "0", f"{first.id}-place": "1", f"{second.id}-place": "2"}
    noted = sent | {f"{first.id}-note": "short intro"}
    logged_in(world.engineer).post(url, sent | {f"{second.id}-note": "long end"})
    for _ in range(2):
        arrive(tech, url, noted, stamp, key="set-of-the-weir")
    assert [line.note for line in set_of_show(show).lines] == ["short intro", "long end"]
    changes = SetChange.objects.order_by("number").values_list("at", "arrived_at")
    assert len(changes) == 2
    assert changes[1] == (WRITTEN, ARRIVED)


def test_who_plays_for_whom(world: World) -> None:
    """Sent again, it is done once."""
    show, tech = make_show(world), logged_in(world.tech)
    url = at(world, "rigs:show_dep", show.pk, world.player.pk)
    stamp = opened(tech, url)
    sent = {"name": "Rook Sable", "differs": "Own bass", "version": "0"}
    for _ in range(2):
        arrive(tech, url, sent, stamp, key="who-plays-once")
    found = ShowDep.objects.values_list("name", "at", "arrived_at", "version").get()
    assert found == ("Rook Sable", WRITTEN, ARRIVED, 1)


def read_at(world: World, leg: Leg, stamp: str) -> Acknowledgement:
    crew = logged_in(world.people["crew"])
    arrive(crew, at(world, "notes:acknowledge", leg.pk), {"player": world.player.pk}, stamp)
    return Acknowledgement.objects.get(user=world.people["crew"])


def test_who_read_the_older_handover_has_not_read_the_newer(world: World) -> None:
    """It was published between the page and its arrival."""
    leg = legs(world)[0]
    with clock.set_to(OPENED - timedelta(days=1)):
        words(leg)
        older = published(world, leg)
    stamp = opened(logged_in(world.people["crew"]), at(world, "notes:handover", leg.pk))
    with clock.set_to(CHANGED):
        words(leg, "Walk the room twice.")
        published(world, leg)
    read = read_at(world, leg, stamp)
    assert (read.published, read.at, read.arrived_at) == (older, WRITTEN, ARRIVED)


def test_a_reading_mark_that_comes_late_does_not_move_a_later_one(world: World) -> None:
    leg, crew = legs(world)[0], world.people["crew"]
    stamp = opened(logged_in(crew), at(world, "notes:handover", leg.pk))
    url, data = at(world, "notes:acknowledge", leg.pk), {"player": world.player.pk}
    with clock.set_to(ARRIVED - timedelta(minutes=2)):
        logged_in(crew).post(url, data)
    read = read_at(world, leg, stamp)
    assert (read.at, read.arrived_at) == (ARRIVED - timedelta(minutes=2), None)


def test_a_question_and_its_answer(world: World) -> None:
    leg, crew = legs(world)[0], logged_in(world.people["crew"])
    page = at(world, "notes:handover", leg.pk)
    asked = {"player": world.player.pk, "words": "Which battery?"}
    arrive(crew, at(world, "notes:ask", leg.pk), asked, opened(crew, page))
    question = Question.objects.get()
    assert (question.asked_at, question.arrived_at) == (WRITTEN, ARRIVED)
    tech, url = logged_in(world.tech), at(world, "notes:answer", question.pk)
    arrive(tech, url, {"words": "A 9 V block."}, opened(tech, page))
    assert Answer.objects.values_list("answered_at", "arrived_at").get() == (WRITTEN, ARRIVED)
    text = " ".join(re.sub(r"<[^>]+>", "", tech.get(page).content.decode()).split())
    assert text.count("Written 4 Mar, 21:54, arrived 4 Mar, 22:02") == 2


def test_what_is_asked_by_no_form_is_of_now(world: World) -> None:
    leg = legs(world)[0]
    with clock.set_to(ARRIVED):
        question = ask(leg=leg, user=world.tech, words="Which?", player=None)
    assert (question.asked_at, question.arrived_at) == (ARRIVED, None)


def test_notes_stand_in_the_order_of_writing(world: World) -> None:
    tech, url = logged_in(world.tech), at(world, "notes:note_new", world.rig.pk)
    stamp = opened(tech, url)
    with clock.set_to(WRITTEN + timedelta(minutes=3)):
        tech.post(url, NOTE | {"words": "Said after it."})
    arrive(tech, url, NOTE, stamp)
    html = tech.get(at(world, "notes:index")).content.decode()
    assert html.index("Said after it.") < html.index("Wool, not wire.")
