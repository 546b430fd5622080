"""Somebody is forgotten: nothing of them is found any more, and everything still verifies.

Against something outside: every table is read as it is stored, by the database's own SQL, and
searched for an invented name that stands nowhere else. “Removed, and still provable” is the
property that RFC 9162 (section 2.1) asks of digests over what may be withheld: here only that the
digests before and after are the same.
"""

from __future__ import annotations

import random
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from core.append_only import set_aside
from core.models import PersonalText, Production, Removal, User
from core.personal.fields import stored
from core.search.sources import reindex
from core.services.members import LastManager
from notes.archive.load import load
from notes.archive.writer import export
from notes.forgetting.forget import forget, look
from notes.forgetting.subject import Subject, member, musician
from notes.handover.publish import publish, read
from notes.models import Answer, PublishedHandover, Question, SignOff
from notes.signing.services import sign
from rigs.changes import chain
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Revision, Rig
from rigs.models.parts import gateway
from rigs.revisions.writer import iso
from tests.notes.archive.test_round_trip import forget as everything_leaves
from tests.notes.forgetting.support import places_of, somebody
from tests.notes.handover.published_support import words as handover_words
from tests.support.listening import hear
from tests.support.pages import as_user
from tests.support.world import World

NAME = "Quorvexa Thistlemund"
SAID = "zibberwock"


class _Undo(Exception):
    pass


def leg_of(world: World) -> Any:
    return world.production.legs.get_or_create(
        name="Coast", starts_on=date(2026, 9, 1), ends_on=date(2026, 9, 20)
    )[0]


def write_something(world: World, person: User, spin: random.Random) -> None:
    """One thing that a tech may write, chosen by chance."""
    world.rig.refresh_from_db()
    words = f"{SAID} {spin.randrange(1000)}"
    choice = spin.randrange(5)
    if choice == 0:
        world.turn(f"{spin.randrange(1, 5)}:{spin.randrange(10, 60)}", author=person)
    elif choice == 1:
        device = spin.choice([world.mic, world.other_mic])
        world.swap(device, Reason(ReasonKind.HIRE, words), author=person)
    elif choice == 2:
        hear(world, words, by=person, said_by_player=None)
    elif choice == 3:
        number = world.rig.head_number
        sign(
            rig=world.rig,
            party="tech",
            decision="withheld",
            revision=number,
            words=words,
            user=person,
        )
    else:
        hear(world, f"Ask {NAME} about it.")


def gone(world: World, person: User, **more: Any) -> None:
    forget(
        member(world.production, person),
        by=world.people["manager"],
        asked_by=Removal.Request.PERSON,
        reason="A letter of theirs.",
        **more,
    )


@settings(
    max_examples=5,
    derandomize=True,
    # An example that fails is said as it is: making it smaller would take minutes.
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(seed=st.integers(0, 10_000), steps=st.integers(1, 6), published=st.booleans())
def test_nothing_is_found_of_anybody_who_is_forgotten(
    world: World, seed: int, steps: int, published: bool
) -> None:
    spin = random.Random(seed)
    try:
        with transaction.atomic():
            person = somebody(world, NAME)
            for _ in range(steps):
                write_something(world, person, spin)
            if published:
                leg = leg_of(world)
                handover_words(leg, f"{NAME} knows.")
                publish(leg=leg, by=person)
            reindex(world.production)
            digests = list(Revision.objects.values_list("digest", flat=True))
            assert places_of(NAME)
            email = person.email
            gone(world, person)
            assert places_of(NAME, email, SAID) == set()
            assert list(Revision.objects.values_list("digest", flat=True)) == digests
            call_command("verify", verbosity=0)
            raise _Undo
    except _Undo:
        pass


def test_the_history_says_so_with_date_and_by_whom(world: World) -> None:
    person, manager = somebody(world, NAME), world.people["manager"]
    world.swap(world.other_mic, Reason(ReasonKind.HIRE, SAID), author=person)
    gone(world, person)
    html = as_user(world.engineer).get(f"/p/{world.production.pk}/rigs/{world.rig.pk}/history/")
    page = html.content.decode()
    at = Removal.objects.get().at
    assert f"removed on request, {at.day} {at:%b %Y}, by {manager.name}" in page
    assert NAME not in page
    assert SAID not in page


def test_a_musician_without_an_account_is_forgotten_in_what_they_signed(world: World) -> None:
    world.player.name = NAME
    world.player.save()
    number = world.rig.head_number
    made = sign(
        rig=world.rig,
        party="player",
        decision="signed",
        revision=number,
        words=SAID,
        player=world.player,
    )
    leg = leg_of(world)
    handover_words(leg)
    published = publish(leg=leg, by=world.engineer)
    seal, digest = made.seal, published.digest
    forget(musician(world.production, world.player), by=None, asked_by="for_them", reason="Died.")
    made, published = SignOff.objects.get(), PublishedHandover.objects.get()
    assert (made.seal, published.digest) == (seal, digest)
    assert made.name.startswith("removed on request")
    assert "removed on request" in str(read(published))
    assert published.sections[1]["title"].startswith("removed on request")
    assert places_of(NAME, SAID) == set()
    call_command("verify", verbosity=0)


def test_only_the_names_go_where_the_words_are_to_stay(world: World) -> None:
    person = somebody(world, NAME)
    world.swap(world.other_mic, Reason(ReasonKind.HIRE, SAID), author=person)
    gone(world, person, words=False)
    revision = Revision.objects.get(author=person)
    assert revision.reason_words == SAID
    assert revision.author_name.startswith("removed on request")


def test_what_others_wrote_stays_but_for_the_name(world: World) -> None:
    person = somebody(world, NAME)
    note = hear(world, f"{NAME.upper()} likes it, {SAID}.")
    world.swap(world.other_mic, Reason(ReasonKind.HIRE, f"For {NAME}, at once."))
    gone(world, person)
    note.refresh_from_db()
    assert note.words == f"… likes it, {SAID}."
    assert Revision.objects.get(author=world.tech, number__gt=1).reason_words == "For …, at once."
    assert places_of(NAME) == set()
    call_command("verify", verbosity=0)


def test_questions_and_answers_go(world: World) -> None:
    person, leg = somebody(world, NAME), leg_of(world)
    handover_words(leg)
    asked = Question.objects.create(handover=leg.handover, words=SAID, asked_by=person)
    Answer.objects.create(question=asked, words=SAID, answered_by=person)
    gone(world, person)
    assert places_of(SAID) == set()


def test_the_account_is_closed_unless_another_production_has_it(world: World) -> None:
    person = somebody(world, NAME)
    other = Production.objects.create(name="The Other")
    other.memberships.create(user=person, role="crew")
    hear(world, "Fine.", by=person)
    gone(world, person)
    person.refresh_from_db()
    assert (person.name, person.is_active) == (NAME, True)
    page = as_user(world.engineer).get(f"/p/{world.production.pk}/notes/").content.decode()
    assert NAME not in page
    forget(member(other, person), by=None, asked_by="service", reason="Both.")
    person.refresh_from_db()
    assert not person.is_active
    assert not person.has_usable_password()
    assert places_of(NAME, "Quorvexa.Thistlemund@example.org") == set()


def of_before(world: World, author: User) -> Revision:
    """The newest change of the rig, as content version 1 wrote it: the name in the clear."""
    row = Revision.objects.get(rig=world.rig, author=author)
    content = chain.content_of(
        rig=str(world.rig.pk),
        number=row.number,
        parent=row.parent_digest,
        author={"id": str(author.pk), "name": author.name},
        at=iso(row.at),
        reason={"kind": row.reason_kind, "words": "", "notes": []},
        restored=None,
        changes=[each.as_change() for each in row.changes.all()],
        format=1,
    )
    digest = chain.digest(content)
    with set_aside(connection):
        Revision.objects.filter(pk=row.pk).update(author_name=author.name, digest=digest)
        PersonalText.objects.filter(person=author).delete()
    with gateway():
        Rig.objects.filter(pk=world.rig.pk).update(head_digest=digest)
    return Revision.objects.get(pk=row.pk)


def test_a_row_of_before_keeps_its_digest_and_is_told_beforehand(world: World) -> None:
    """A name in the clear under a digest stays; the page that comes before says so."""
    person = somebody(world, NAME)
    world.turn("4:44", author=person)
    row = of_before(world, person)
    assert stored(row, "author_name") == NAME
    call_command("verify", verbosity=0)
    assert look(member(world.production, person)).stays == {"revisions": 1}
    gone(world, person)
    call_command("verify", verbosity=0)
    assert places_of(NAME) == {"rigs_revision"}
    # What people see of it follows the account.
    shown = Revision.objects.get(pk=row.pk)
    assert shown.author_name.startswith("removed on request")
    assert stored(shown, "author_name") == NAME


def test_looking_does_nothing(world: World) -> None:
    person = somebody(world, NAME)
    world.turn("4:44", author=person)
    report = look(member(world.production, person))
    assert dict(report.goes)["names kept apart"] == 1
    assert report.closes_account
    assert not Removal.objects.exists()
    assert User.objects.get(pk=person.pk).name == NAME
    assert PersonalText.objects.filter(person=person, removal=None).count() == 1


def test_a_reason_that_names_them_is_refused(world: World) -> None:
    person = somebody(world, NAME)
    with pytest.raises(ValidationError, match="Do not name"):
        forget(
            member(world.production, person), by=None, asked_by="person", reason=f"{NAME} asked."
        )
    assert not Removal.objects.exists()


def test_the_only_manager_cannot_be_forgotten(world: World) -> None:
    with pytest.raises(LastManager):
        look(Subject(world.production, world.people["manager"]))


def test_an_archive_leaves_without_them_and_comes_back(world: World, tmp_path: Path) -> None:
    person = somebody(world, NAME)
    world.swap(world.other_mic, Reason(ReasonKind.HIRE, SAID), author=person)
    leg = leg_of(world)
    handover_words(leg, f"{NAME} knows.")
    publish(leg=leg, by=person)
    email = person.email
    gone(world, person)
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    digest = export(world.production, first)
    everything_leaves()
    back = load(first, digest=digest)
    assert places_of(NAME, SAID, email) == set()
    call_command("verify", verbosity=0)
    assert Removal.objects.get().production == back
    assert Revision.objects.get(author=person).author_name.startswith("removed on request")
    export(back, second)
    assert first.read_bytes() == second.read_bytes()


def test_the_page_says_what_goes_and_does_it(world: World) -> None:
    person = somebody(world, NAME)
    world.turn("4:44", author=person)
    manager = as_user(world.people["manager"])
    address = f"/p/{world.production.pk}/people/{person.pk}/forget/"
    page = manager.get(address).content.decode()
    assert "What goes" in page
    assert "Names kept apart: 1" in page
    refused = manager.post(
        address, {"asked_by": "person", "reason": f"{NAME} wrote.", "sure": "on"}
    )
    assert "Do not name the person here" in refused.content.decode()
    done = manager.post(address, {"asked_by": "person", "reason": "A letter.", "sure": "on"})
    assert done.status_code == 302
    assert Removal.objects.get().by == world.people["manager"]
    assert as_user(world.engineer).get(address).status_code == 403


def test_the_command_looks_before_it_does(world: World, capsys: Any) -> None:
    person = somebody(world, NAME)
    world.turn("4:44", author=person)
    call_command("forget", email=person.email)
    assert "Nothing was done" in capsys.readouterr().out
    assert not Removal.objects.exists()
    with pytest.raises(CommandError, match="Say why"):
        call_command("forget", email=person.email, do=True)
    call_command("forget", email=person.email, do=True, reason="By letter.")
    assert Removal.objects.get().by is None
    assert Removal.objects.get().at <= datetime.now(UTC)
    with pytest.raises(CommandError, match="nobody"):
        call_command("forget", email="nobody@example.org")
