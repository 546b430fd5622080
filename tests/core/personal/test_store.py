"""Texts kept apart: kept once, opened, checked, removed, and guarded by the database."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import QuerySet

from core.append_only import set_aside
from core.models import PersonalText, Production, Removal
from core.personal.store import broken_texts, keep, remove, rows_of, take_out, texts_of
from tests.support.world import World

NAME = "Ondrasch Vellquist"


def own() -> Production:
    """A production in which nothing else was written."""
    return Production.objects.get_or_create(name="Apart")[0]


def kept() -> QuerySet[PersonalText]:
    return PersonalText.objects.filter(production=own())


def removal(world: World) -> Removal:
    return Removal.objects.create(
        production=own(),
        person=world.tech,
        by=world.engineer,
        asked_by=Removal.Request.PERSON,
        reason="Asked for it by letter.",
    )


def keep_name(world: World, name: str = NAME) -> str:
    return keep(own().pk, name, "name", person=world.tech.pk)


def test_a_name_is_kept_once_and_words_each_time(world: World) -> None:
    assert keep_name(world) == keep_name(world)
    assert keep_name(world) != keep_name(world, NAME + "s")
    here, by = own().pk, world.tech.pk
    assert keep(here, "Too dark.", "words", person=by) != keep(
        here, "Too dark.", "words", person=by
    )
    assert keep(here, NAME, "name", person=world.engineer.pk) != keep_name(world)


def test_nothing_is_kept_of_no_words(world: World) -> None:
    assert keep(own().pk, "", "words", person=world.tech.pk) == ""
    assert not kept().exists()


def test_references_open_in_one_query(world: World, django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    said = {keep(own().pk, str(n), "words", person=world.tech.pk): n for n in range(40)}
    with django_assert_num_queries(1):
        found = rows_of([*said, "no reference", ""])
    assert {key: row.text for key, row in found.items()} == {k: str(n) for k, n in said.items()}


def test_a_removal_leaves_the_commitment_and_says_when_and_by_whom(world: World) -> None:
    said = keep_name(world)
    gone = removal(world)
    assert remove(texts_of(own(), person=world.tech), gone) == 1
    row = rows_of([said])[said]
    assert (row.text, row.salt, row.removal) == ("", "", gone)
    assert row.removal.by == world.engineer
    assert list(broken_texts(own().pk)) == []
    # What was removed is not kept again under the old commitment.
    assert keep_name(world) != said


def test_words_in_which_somebody_was_named_stay_without_the_name(world: World) -> None:
    said = keep(own().pk, f"{NAME} likes it.", "words", person=world.engineer.pk)
    take_out(rows_of([said])[said], "… likes it.", removal(world))
    assert rows_of([said])[said].text == "… likes it."
    assert list(broken_texts(own().pk)) == []


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
        kept().update(**change)
    with pytest.raises(IntegrityError), transaction.atomic():
        kept().delete()
    assert kept().get().text == NAME


def test_the_database_refuses_to_fill_one_that_was_removed(world: World) -> None:
    keep_name(world)
    remove(kept(), removal(world))
    with pytest.raises(IntegrityError), transaction.atomic():
        kept().update(text="Somebody else")


def test_a_text_that_is_not_what_was_written_is_found(world: World) -> None:
    keep_name(world)
    with set_aside(connection):
        kept().update(text="Somebody else")
    (wrong,) = broken_texts(own().pk)
    assert "does not open its commitment" in wrong
