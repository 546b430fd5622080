"""What a search finds of gear and of changes, as rigs change."""

from __future__ import annotations

import json
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.db import transaction

from core.models import SearchEntry
from core.search.backend import search
from core.search.sources import reindex
from rigs.changes.edits import Add, Retire, Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import ChangeRow, IndexedRig, Photo, StoredPhoto, Unit
from rigs.revisions.record import restore
from rigs.search.index import catch_up
from rigs.search.indexed_changes import is_worded
from tests.support.world import World, make_device, make_rig, make_world

HIRE = Reason(ReasonKind.HIRE, "Ours is in the workshop.")


def titles(world: World, text: str) -> list[str]:
    hits = search(world.production, text).hits
    return ["".join(piece.text for piece in hit.title) for hit in hits]


def set_on(world: World, kind: str, **fields: Any) -> Set:
    part = {"rig": world.rig, "unit": world.unit, "control": world.control, "input": world.input}
    return Set(str(part[kind].pk), kind, fields)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("clank", ["How Bass main should sound"]),
        ("tarn", ["Head · Bass main"]),
        ("gain", ["Head · Bass main"]),
        ("cone edge", ["7 Bass mic · Bass main"]),
        ("eskvane", ["Corvane Eskvane 4"]),
    ],
)
def test_gear_is_found_by_its_words(world: World, text: str, found: list[str]) -> None:
    assert titles(world, text) == found


def test_a_rig_is_found_by_its_player(world: World) -> None:
    (hit,) = search(world.production, "halloran", SearchEntry.Kind.GEAR).hits
    assert hit.path == f"/p/{world.production.pk}/rigs/{world.rig.pk}/"


def test_a_device_is_found_with_the_input_that_has_it(world: World) -> None:
    assert set(titles(world, "hollow")) == {"Corvane Hollow 2", "7 Bass mic · Bass main"}


def test_the_hit_leads_to_its_page(world: World) -> None:
    (hit,) = search(world.production, "tarn").hits
    assert str(world.unit.pk) in hit.path
    assert str(world.rig.pk) in hit.path


def test_a_new_word_is_found_and_the_old_one_is_not(world: World) -> None:
    world.record(set_on(world, "unit", maker="Pellow", serial="X-4471"))
    assert titles(world, "pellow") == titles(world, "4471") == ["Head · Bass main"]
    assert titles(world, "tarn") == []


def test_a_setting_in_words_is_found(world: World) -> None:
    world.record(
        Add(
            str(uuid4()),
            "control",
            {
                "unit": str(world.unit.pk),
                "name": "Voicing",
                "style": "text",
                "setting": "growly",
            },
        )
    )
    assert titles(world, "growly") == ["Head · Bass main"]


def test_a_control_that_moves_is_found_at_its_new_unit(world: World) -> None:
    other = str(uuid4())
    world.record(Add(other, "unit", {"name": "Preamp"}))
    world.record(set_on(world, "control", unit=other))
    assert titles(world, "gain") == ["Preamp · Bass main"]


def test_what_is_retired_is_found_and_says_so(world: World) -> None:
    world.record(Retire(str(world.control.pk), "control"))
    world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    world.record(Retire(str(world.unit.pk), "unit"))
    assert titles(world, "cone edge") == ["7 Bass mic · Bass main (retired)"]
    assert titles(world, "tarn") == ["Head · Bass main (retired)"]
    assert titles(world, "gain") == []


def test_a_retired_rig_marks_everything_in_it(world: World) -> None:
    world.record(set_on(world, "rig", retired=True))
    assert titles(world, "tarn") == ["Head · Bass main (retired)"]
    assert titles(world, "clank") == ["How Bass main should sound (retired)"]
    restore(world.rig, 1, author=world.tech)
    assert titles(world, "tarn") == ["Head · Bass main"]


def test_a_renamed_rig_renames_what_belongs_to_it(world: World) -> None:
    world.swap(world.other_mic, reason=HIRE)
    world.record(set_on(world, "rig", name="Fretless"))
    assert titles(world, "tarn") == ["Head · Fretless"]
    assert titles(world, "workshop") == ["Change 2 of Fretless"]


def test_words_that_are_emptied_are_found_no_more(world: World) -> None:
    world.record(set_on(world, "rig", sound=""))
    assert titles(world, "clank") == titles(world, "should sound") == []


def test_a_retired_device_says_so(world: World) -> None:
    world.other_mic.retire()
    assert titles(world, "eskvane") == ["Corvane Eskvane 4 (retired)"]


def test_a_player_who_changes_their_name(world: World) -> None:
    world.player.name = "Ines Quillfeather"
    world.player.save()
    assert "Bass main" in titles(world, "quillfeather")
    assert titles(world, "halloran") == []


def test_a_change_is_found_by_its_reason_and_by_what_it_did(world: World) -> None:
    world.swap(world.other_mic, reason=HIRE)
    assert titles(world, "workshop") == ["Change 2 of Bass main"]
    assert "Change 2 of Bass main" in titles(world, "hollow eskvane")
    assert titles(world, f"hired {world.tech.name}") == ["Change 2 of Bass main"]


def test_a_change_without_a_reason_is_not_listed(world: World) -> None:
    world.turn("4:00")
    catch_up(world.production)
    assert not SearchEntry.objects.filter(kind=SearchEntry.Kind.CHANGE).exists()


def touching_the_index(queries: Any) -> list[str]:
    tables = ("core_searchentry", "rigs_indexedrig")
    return [q["sql"] for q in queries if any(table in q["sql"] for table in tables)]


def test_recording_costs_the_search_nothing(
    world: World, django_assert_max_num_queries: Any
) -> None:
    with django_assert_max_num_queries(40) as queries:
        world.turn("4:00")
        world.record(set_on(world, "unit", maker="Pellow"))
    assert touching_the_index(queries) == []


def test_where_nothing_was_written_catching_up_is_one_question(
    world: World, django_assert_num_queries: Any
) -> None:
    catch_up(world.production)
    with django_assert_num_queries(1):
        catch_up(world.production)


def test_a_turned_dial_puts_nothing_in(world: World, django_assert_max_num_queries: Any) -> None:
    catch_up(world.production)
    world.turn("4:00")
    world.record(set_on(world, "input", gain_db=30, pan=10))
    with django_assert_max_num_queries(40) as queries:
        catch_up(world.production)
    assert [sql for sql in touching_the_index(queries) if "core_searchentry" in sql] == []


@pytest.mark.parametrize("size", [1, 6])
def test_catching_up_costs_the_same_for_any_number_of_rigs(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    rigs = [make_rig(world.production, world.player, world.tech, f"R{n}") for n in range(size)]
    catch_up(world.production)
    for rig in rigs:
        world.rig = rig
        world.record(Add(str(uuid4()), "unit", {"name": "Head"}), reason=HIRE)
    with django_assert_num_queries(21):
        catch_up(world.production)


def test_catching_up_twice_changes_nothing(world: World) -> None:
    world.swap(world.other_mic, reason=HIRE)
    catch_up(world.production)
    kept = rows()
    IndexedRig.objects.update(number=1)
    catch_up(world.production)
    assert rows() == kept
    assert IndexedRig.objects.get().number == world.rig.head_number


@pytest.mark.parametrize(
    ("old", "new", "worded"),
    [("2:30", "4:00", False), (None, "6.5", False), ("slow", "fast", True), ("on", None, True)],
)
def test_a_setting_counts_where_it_is_a_word(old: Any, new: Any, worded: bool) -> None:
    row = ChangeRow(
        kind="control", field="setting", old_json=json.dumps(old), new_json=json.dumps(new)
    )
    assert is_worded(row) is worded


def rows() -> list[tuple[Any, ...]]:
    found = SearchEntry.objects.order_by("kind", "subject")
    return list(found.values_list("kind", "subject", "title", "body", "path"))


def test_rebuilding_gives_what_keeping_up_gave(world: World) -> None:
    world.record(set_on(world, "unit", maker="Pellow"))
    world.swap(world.other_mic, reason=HIRE)
    world.record(Retire(str(world.control.pk), "control"))
    catch_up(world.production)
    kept = rows()
    SearchEntry.objects.all().delete()
    call_command("reindex", verbosity=0)
    assert rows() == kept


def test_a_rig_that_was_not_written_is_not_found(world: World) -> None:
    with pytest.raises(RuntimeError), transaction.atomic():  # noqa: PT012
        world.record(set_on(world, "unit", maker="Pellow"))
        raise RuntimeError
    assert titles(world, "pellow") == []


def test_another_production_finds_nothing_of_ours(world: World) -> None:
    other = make_world("Another act")
    world.record(set_on(world, "unit", maker="Pellow"))
    assert titles(other, "pellow") == []


@pytest.mark.parametrize("size", [1, 6])
def test_rebuilding_costs_the_same_for_any_number_of_rigs(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    for number in range(size):
        rig = make_rig(world.production, world.player, world.tech, f"Spare {number}")
        world.rig = rig
        world.record(Add(str(uuid4()), "unit", {"name": f"Head {number}"}), reason=HIRE)
    make_device(world.production, "Third")
    assert Unit.objects.count() == size + 1
    with django_assert_num_queries(153):
        reindex(world.production)


def test_a_spare_is_found_with_its_unit_and_lost_with_it(world: World) -> None:
    part = str(uuid4())
    fields = {"unit": str(world.unit.pk), "what": "wolfram pair", "sort": "valve"}
    world.record(Add(part, "spare", fields))
    assert titles(world, "wolfram") == ["Head · Bass main"]
    world.record(Set(part, "spare", {"what": "plain pair"}))
    assert titles(world, "wolfram") == []
    world.record(Retire(part, "spare"))
    assert titles(world, "plain pair") == []


def a_photo(world: World, caption: str = "") -> Photo:
    image = StoredPhoto.objects.create(
        production=world.production,
        sha256="0" * 64,
        thumb_sha256="1" * 64,
        width=1200,
        height=900,
        bytes=1,
        taken_by=world.tech,
    )
    part = str(uuid4())
    world.record(Add(part, "photo", {"image": str(image.pk), "caption": caption}))
    return Photo.objects.get(pk=part)


def test_a_photo_is_found_by_its_caption(world: World) -> None:
    photo = a_photo(world, "Panel seen from above")
    (hit,) = search(world.production, "above", SearchEntry.Kind.PHOTO).hits
    assert hit.path == photo_page(world, photo)
    world.record(Set(str(photo.pk), "photo", {"caption": "Panel at soundcheck"}))
    assert titles(world, "above") == []
    assert titles(world, "soundcheck") == ["Panel at soundcheck · Bass main"]


def test_a_photo_is_found_by_what_its_pins_say_as_long_as_they_are_there(world: World) -> None:
    photo, pin = a_photo(world), str(uuid4())
    assert titles(world, "photo") == []
    spot = {"photo": str(photo.pk), "x": "0.25", "y": "0.5"}
    world.record(Add(pin, "pin", {**spot, "words": "Taped over"}))
    assert titles(world, "taped") == ["Photo · Bass main"]
    world.record(Set(pin, "pin", {"words": "Loose jack"}))
    assert titles(world, "taped") == []
    world.record(Retire(pin, "pin"))
    assert titles(world, "jack") == []


def photo_page(world: World, photo: Photo) -> str:
    return f"/p/{world.production.pk}/rigs/{world.rig.pk}/photos/{photo.pk}/"
