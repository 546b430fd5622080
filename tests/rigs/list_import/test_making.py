"""Players, rigs and devices that a list makes: proposed, chosen otherwise, made in one go."""

from __future__ import annotations

import gzip

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from core.models import Membership, Player, Production
from core.models.roles import Role
from rigs.changes.reasons import NO_REASON
from rigs.list_import.making import key_of
from rigs.list_import.services import apply, import_list, mend, preview
from rigs.models import Device, Input, ListImport, Rig
from tests.support.pages import as_user
from tests.support.world import HIRE, World, make_user

DRUMS = "Ch,Source,Mic,48V\nDRUMS (Odd),,,\n1,Kick,Stump,NO!!\n2,OH,Reed,x\n"


def sent(production: Production, text: str) -> ListImport:
    by = make_user(f"crew {Production.objects.count()} {ListImport.objects.count()}")
    return import_list(production=production, by=by, name="list.csv", data=text.encode())


@pytest.fixture
def place(db: None) -> Production:
    return Production.objects.create(name="Low Ferry")


def test_a_title_makes_a_player_with_a_rig(place: Production) -> None:
    found = sent(place, DRUMS)
    shown = preview(found)
    assert [(str(r.player), r.player.instrument, r.name) for r in shown.new_rigs] == [
        ("Odd", "Drums", "Drums main")
    ]
    assert not Player.objects.exists()
    (revision,) = apply(list_import=found, by=found.brought_by, reason=NO_REASON, seen=shown.seen)
    assert revision.reason_words == "From the list “list.csv”."
    kick, over = Input.objects.order_by("number")
    assert (kick.phantom, over.phantom) == (False, True)
    assert {d.name: (d.principle, d.phantom) for d in Device.objects.all()} == {
        "Stump": ("dynamic", False),
        "Reed": ("condenser", True),
    }


def test_who_looks_may_choose_otherwise(place: Production) -> None:
    found = sent(place, DRUMS)
    rig, mic = key_of("DRUMS (Odd)"), key_of("Reed")
    making = {
        "rigs": {rig: {"do": "make", "player": "Oddvar", "instrument": "kit", "name": "Kit"}},
        "devices": {mic: {"do": "ribbon"}, key_of("Stump"): {"do": "leave"}},
    }
    mend(list_import=found, mended={}, making=making)
    apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    made = Rig.objects.get()
    assert (made.name, made.player.name, made.player.instrument) == ("Kit", "Oddvar", "kit")
    assert [(d.name, d.principle) for d in Device.objects.all()] == [("Reed", "ribbon")]
    assert Input.objects.get(name="Kick").device is None


def test_rows_that_are_left_out_make_nothing(place: Production) -> None:
    found = sent(place, DRUMS + "BASS,,,\n3,Bass,Box DI,y\n")
    leave = {"rigs": {key_of("DRUMS (Odd)"): {"do": "leave"}}, "devices": {}}
    mend(list_import=found, mended={}, making=leave)
    apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    assert [str(rig) for rig in Rig.objects.all()] == ["Bass main"]
    assert [str(device) for device in Device.objects.all()] == ["Box DI"]


def test_rows_go_to_a_rig_that_is_there(world: World) -> None:
    found = sent(world.production, "Ch,Source\nLOW END CORNER,\n31,Sub\n32,Amp\n")
    go = {"rigs": {key_of("LOW END CORNER"): {"do": str(world.rig.pk)}}}
    mend(list_import=found, mended={}, making=go)
    apply(list_import=found, by=world.tech, reason=HIRE)
    assert set(world.rig.inputs.values_list("name", flat=True)) == {"Bass mic", "Sub", "Amp"}
    assert Player.objects.count() == 1


def test_a_title_that_is_no_player_leaves_known_inputs_where_they_are(world: World) -> None:
    shown = preview(sent(world.production, "Ch,Source\nRISER 2,\n9,Bass mic\n7,Horn\n"))
    known, new = shown.rows
    assert (known.entry, known.changes) == (world.input, [("Channel", "7", "9")])
    assert new.is_new  # channel 7 alone does not rename the bass


def test_names_tell_the_instrument_where_no_player_is_named(place: Production) -> None:
    shown = preview(sent(place, "Ch,Source\n1,Kick\n2,Snare top\n3,Bass DI\n4,Thing\n"))
    assert [str(rig) for rig in shown.new_rigs] == ["Drums main", "Bass main"]
    assert [row.errors for row in shown.waiting] == [{"player": "Whose input is this?"}]


def test_a_player_that_is_there_gets_a_rig(place: Production) -> None:
    odd = Player.objects.create(production=place, name="Odd", instrument="drums")
    found = sent(place, DRUMS)
    assert preview(found).new_players == []
    apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    assert Rig.objects.get().player == odd


def test_a_cell_that_says_the_kind_is_read_as_devices_are_everywhere(place: Production) -> None:
    text = 'Ch,Source,Mic\n1,Kick,"dynamic cardioid, Hallam D2"\n'
    found = sent(place, text)
    apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    made = Device.objects.get()
    assert (str(made), made.pattern) == ("Hallam D2", "cardioid")
    assert preview(sent(place, text)).changing == []


def test_a_list_of_many_strangers_is_looked_at_in_time(place: Production) -> None:
    """A page asks about the first; the rest is said in a number."""
    rows = "".join(f"{n},In {n},Player {n},Mic {n},loud\n" for n in range(1, 1501))
    found = sent(place, f"Ch,Source,Player,Mic,HPF\n{rows}")
    engineer = make_user("Tilda Marnock")
    Membership.objects.create(production=place, user=engineer, role=Role.ENGINEER)
    page = as_user(engineer).get(reverse("rigs:list_import", args=[place.pk, found.pk]))
    text = page.content.decode()
    assert "2880 more are made as they stand in the file." in text
    assert "These are the first 60 of 1500 rows" in " ".join(text.split())
    assert len(gzip.compress(page.content)) < 100_000


def test_all_or_nothing(place: Production, monkeypatch: pytest.MonkeyPatch) -> None:
    found = sent(place, DRUMS)
    monkeypatch.setattr("rigs.list_import.services.create", _refuse)
    with pytest.raises(ValidationError):
        apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    assert not Player.objects.exists()
    assert not Device.objects.exists()
    found.refresh_from_db()
    assert found.applied_at is None


def _refuse(*_: object, **__: object) -> None:
    raise ValidationError("no")


def test_twice_is_once(place: Production) -> None:
    found = sent(place, DRUMS)
    apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    with pytest.raises(ValidationError, match="imported already"):
        apply(list_import=found, by=found.brought_by, reason=NO_REASON)
    assert Rig.objects.count() == 1
