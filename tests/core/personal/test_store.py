"""Texts kept apart: kept once, opened, checked, removed, and guarded by the database."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, connection, transaction

from core.append_only import set_aside
from core.models import PersonalText, Removal
from core.personal.store import broken_texts, keep, remove, rows_of, take_out, texts_of
from tests.support.world import World

NAME = "Ondrasch Vellquist"


def removal(world: World) -> Removal:
    return Removal.objects.create(
        production=world.production,
        person=world.tech,
        by=world.engineer,
        asked_by=Removal.Request.PERSON,
        reason="Asked for it by letter.",
    )


def keep_name(world: World, name: str = NAME) -> str:
    return keep(world.production.pk, name, "name", person=world.tech.pk)


def test_a_name_is_kept_once_and_words_each_time(world: World) -> None:
    assert keep_name(world) == keep_name(world)
    assert keep_name(world) != keep_name(world, NAME + "s")
    own, by = world.production.pk, world.tech.pk
    assert keep(own, "Too dark.", "words", person=by) != keep(own, "Too dark.", "words", person=by)
    assert keep(own, NAME, "name", person=world.engineer.pk) != keep_name(world)


def test_nothing_is_kept_of_no_words(world: World) -> None:
    assert keep(world.production.pk, "", "words", person=world.tech.pk) == ""
    assert not PersonalText.objects.exists()


def test_references_open_in_one_query(world: World, django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    said = {keep(world.production.pk, str(n), "words", person=world.tech.pk): n for n in range(40)}
    with django_assert_num_queries(1):
        found = rows_of([*said, "no reference", ""])
    assert {key: row.text for key, row in found.items()} == {k: str(n) for k, n in said.items()}


def test_a_removal_leaves_the_commitment_and_says_when_and_by_whom(world: World) -> None:
    said = keep_name(world)
    gone = removal(world)
    assert remove(texts_of(world.production, person=world.tech), gone) == 1
    row = rows_of([said])[said]
    assert (row.text, row.salt, row.removal) == ("", "", gone)
    assert row.removal.by == world.engineer
    assert list(broken_texts(world.production.pk)) == []
    # What was removed is not kept again under the old commitment.
    assert keep_name(world) != said


def test_words_in_which_somebody_was_named_stay_without_the_name(world: World) -> None:
    said = keep(world.production.pk, f"{NAME} likes it.", "words", person=world.engineer.pk)
    take_out(rows_of([said])[said], "… likes it.", removal(world))
    assert rows_of([said])[said].text == "… likes it."
    assert list(broken_texts()) == []


@pytest.mark.parametrize(
    "change",
    [
        {"text": "Other words"},
        {"commitment": "0" * 64},
        {"salt": "", "text": ""},
        {"kind": "words"},
    ],
)
def test_the_database_refuses_to_change_one(world: World, change: dict[str, str]) -> None:
    keep_name(world)
    with pytest.raises(IntegrityError), transaction.atomic():
        PersonalText.objects.update(**change)
    with pytest.raises(IntegrityError), transaction.atomic():
        PersonalText.objects.all().delete()
    assert PersonalText.objects.get().text == NAME


def test_the_database_refuses_to_fill_one_that_was_removed(world: World) -> None:
    keep_name(world)
    remove(PersonalText.objects.all(), removal(world))
    with pytest.raises(IntegrityError), transaction.atomic():
        PersonalText.objects.update(text="Somebody else")


def test_a_text_that_is_not_what_was_written_is_found(world: World) -> None:
    keep_name(world)
    with set_aside(connection):
        PersonalText.objects.update(text="Somebody else")
    (wrong,) = broken_texts(world.production.pk)
    assert "does not open its commitment" in wrong
