"""Publishing: a number, a digest, and nothing that changes afterwards."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from django.db import DatabaseError, transaction

from core.models.roles import Role
from notes.handover.publish import NothingNew, read
from notes.handover.services import ask
from notes.journal.services import settle
from notes.models import PublishedHandover
from tests.notes.handover.published_support import frozen, note, page, published, words
from tests.notes.handover.support import legs
from tests.support.own_process import run_alone
from tests.support.pages import as_user, at, says
from tests.support.world import HIRE, World, make_world


def test_it_is_numbered_by_production(world: World) -> None:
    autumn, winter = legs(world)
    first, second = published(world, autumn), published(world, winter)
    assert (first.number, second.number, second.previous) == (1, 2, first)
    other = make_world("Elsewhere")
    assert published(other, legs(other)[0]).number == 1


def test_the_digest_is_sha_256_over_canonical_json_that_names_the_one_before(world: World) -> None:
    """RFC 8785 by the library of its name, SHA-256 (FIPS 180-4) by Python's own."""
    autumn, winter = legs(world)
    first, second = published(world, autumn), published(world, winter)
    for made in (first, second):
        assert rfc8785.dumps(json.loads(made.content)) == made.content.encode()
        assert hashlib.sha256(made.content.encode()).hexdigest() == made.digest
    assert read(first)["previous"] is None
    assert read(second)["previous"] == first.digest


def test_it_holds_the_exact_revision_of_every_rig(world: World) -> None:
    world.turn("3:00")
    made = published(world, legs(world)[0])
    (section,) = read(made)["sections"]
    (rig,) = section["rigs"]
    world.rig.refresh_from_db()
    assert (rig["revision"], rig["digest"]) == (2, world.rig.head_digest)
    assert rig["units"][0]["controls"] == [{"name": "Gain", "text": "3:00"}]
    assert rig["inputs"][0]["device"]["name"] == "Corvane Hollow 2"
    assert rig["inputs"][0]["placement"] == {
        "aimed_at": "cone edge",
        "reference_point": "grille",
        "distance_m": "0.035",
        "distance_unit": "mm",
        "angle_deg": "20",
    }
    assert "cone edge, 35 mm (1.4 in) from grille, 20° off axis" in page(world, made, query="?long")


def test_nothing_that_happens_later_alters_it(world: World) -> None:
    autumn, _ = legs(world)
    words(autumn)
    heard = note(world)
    made = published(world, autumn)
    kept, shown = made.content, frozen(page(world, made, query="?long"))
    assert len(shown) == 2
    world.player.name, world.player.instrument = "Somebody Else", "tuba"
    world.player.save()
    settle(note=heard, words="It was the room.", by=world.engineer)
    note(world, "And now it rattles.")
    words(autumn, "Never mind.")
    world.turn("5:00")
    world.swap(world.other_mic, HIRE)
    made.refresh_from_db()
    assert made.content == kept
    after = page(world, made, query="?long")
    assert frozen(after) == shown
    for new in ("And now it rattles.", "Never mind.", "Now plays tuba", "Corvane Eskvane 4"):
        assert new in after.split('class="ways"')[0], new


def test_the_database_refuses_to_change_or_delete_it(world: World) -> None:
    made = published(world, legs(world)[0])
    rows = PublishedHandover.objects.filter(pk=made.pk)
    with pytest.raises(DatabaseError), transaction.atomic():
        rows.update(number=7)
    with pytest.raises(DatabaseError), transaction.atomic():
        rows.delete()


def test_without_a_change_it_is_refused_and_nothing_is_written(world: World) -> None:
    autumn, winter = legs(world)
    published(world, autumn)
    with pytest.raises(NothingNew, match="Nothing has changed since Handover 1"):
        published(world, autumn)
    assert PublishedHandover.objects.count() == 1
    url = at(world, "notes:publish", autumn.pk)
    assert "Nothing has changed" in as_user(world.tech).get(url).content.decode()
    response = as_user(world.tech).post(url, follow=True)
    assert says(response) == [
        "Nothing has changed since Handover 1 was published. "
        "Handover 1 still is what the crew reads."
    ]
    world.turn("3:00")
    assert published(world, autumn).number == 2
    assert published(world, winter).number == 3


def test_the_page_before_says_what_is_missing(world: World) -> None:
    autumn, _ = legs(world)
    ask(leg=autumn, user=world.people["crew"], words="Which fuse?", player=None)
    response = as_user(world.tech).get(at(world, "notes:publish", autumn.pk))
    missing = response.context["missing"]
    assert missing.words == [
        "Nobody has written the opening words.",
        "Nobody has written cautions.",
        "Nobody has written people to call.",
    ]
    assert (missing.unanswered, missing.unsigned) == (1, [("Bass main", "not_asked")])
    assert "Publish handover 1" in response.content.decode()
    assert not PublishedHandover.objects.exists()


def test_publishing_leads_to_what_was_published(world: World) -> None:
    autumn, _ = legs(world)
    response = as_user(world.engineer).post(at(world, "notes:publish", autumn.pk))
    made = PublishedHandover.objects.get()
    assert response.headers["Location"] == made.get_absolute_url()
    assert (made.published_by, made.handover.leg) == (world.engineer, autumn)
    assert made.digest[:12] in page(world, made)


@pytest.mark.parametrize("who", Role.values)
def test_engineer_and_tech_publish_and_all_read(world: World, who: str) -> None:
    autumn, _ = legs(world)
    response = as_user(world.people[who]).post(at(world, "notes:publish", autumn.pk))
    assert response.status_code == (302 if who in ("engineer", "tech") else 403)
    made = PublishedHandover.objects.first() or published(world, autumn)
    page(world, made, who)


def test_outsiders_and_other_productions_do_not_find_it(world: World) -> None:
    made = published(world, legs(world)[0])
    assert as_user(world.outsider).get(made.get_absolute_url()).status_code == 404
    other = make_world("Elsewhere")
    theirs = published(other, legs(other)[0])
    url = at(world, "notes:published", theirs.pk)
    assert as_user(world.engineer).get(url).status_code == 404


RACE = """
from datetime import date
from core.models import Leg
from notes.models import PublishedHandover
from notes.handover.verify import broken_handovers
from notes.handover.publish import publish
from tests.support.world import make_world
world = make_world()
legs = [
    Leg.objects.create(production=world.production, name=f"Leg {n}", starts_on=date(2026, 9, 1),
                       ends_on=date(2026, 9, 30))
    for n in range(LEGS)
]
results = race(lambda n: publish(leg=legs[n % LEGS], by=world.engineer), *range(6))
numbers = sorted(PublishedHandover.objects.values_list("number", flat=True))
print(json.dumps([results, numbers, list(broken_handovers())]))
"""


@pytest.mark.django_db(transaction=True)
def test_six_legs_published_at_once_have_six_numbers(tmp_path: Path) -> None:
    found: Any = run_alone(RACE.replace("LEGS", "6"), tmp_path)
    assert found == [["won"] * 6, [1, 2, 3, 4, 5, 6], []]


@pytest.mark.django_db(transaction=True)
def test_one_leg_published_six_times_at_once_is_published_once(tmp_path: Path) -> None:
    found: Any = run_alone(RACE.replace("LEGS", "1"), tmp_path)
    assert found == [["NothingNew"] * 5 + ["won"], [1], []]
