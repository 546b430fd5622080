"""A production leaves as one file and comes back the same, byte for byte."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.models import QuerySet
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TransactionTestCase
from prov.model import ProvAssociation, ProvDerivation, ProvDocument, ProvGeneration

from core.append_only import set_aside
from core.models import Membership, Production, User
from core.owner import path_to_production
from core.proof.entries import silent
from core.tables import name_of
from notes.archive.load import load
from notes.archive.schema import PEOPLE, schema
from notes.archive.tables import LEFT_OUT, tables
from notes.archive.writer import MissingFile, export
from notes.models import Note, SignOff
from rigs.models import Rig, StoredPhoto
from rigs.photos.storage import path_of
from tests.notes.archive.full import fill_all
from tests.support.world import World, make_world

ROOT = Path(__file__).resolve().parents[3]


def forget() -> None:
    """Empty the tables, past the triggers that would refuse it."""
    left = [each for each in LEFT_OUT if "_" not in each and each != "core.User"]
    extra = [apps.get_model(each) for each in left]
    with set_aside(connection), silent():
        for model in (*extra, *reversed(tables()), User):
            found: QuerySet[Any] = QuerySet(model=model)
            found._raw_delete(found.db)


@pytest.fixture
def full(world: World) -> World:
    fill_all(world)
    return world


def test_it_comes_back_the_same_byte_for_byte(full: World, tmp_path: Path) -> None:
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    digest = export(full.production, first)
    counts = {model: model._default_manager.count() for model in tables()}
    assert [name_of(model) for model, count in counts.items() if not count] == [], (
        "add a row of each to tests/notes/archive/full.py"
    )
    forget()
    assert not Production.objects.exists()
    found = load(first, digest=digest)
    assert {model: model._default_manager.count() for model in tables()} == counts
    assert export(found, second) == digest
    assert second.read_bytes() == first.read_bytes()


def test_its_rigs_go_on_from_where_they_were(full: World, tmp_path: Path) -> None:
    export(full.production, tmp_path / "a.zip")
    forget()
    load(tmp_path / "a.zip")
    full.rig = Rig.objects.get(pk=full.rig.pk)
    full.people = {m.role: m.user for m in Membership.objects.select_related("user")}
    number = full.rig.head_number
    revision = full.turn("4:00")
    assert revision is not None
    assert revision.number == number + 1
    call_command("verify")


def test_it_is_found_by_search(full: World, tmp_path: Path) -> None:
    from core.models import SearchEntry

    export(full.production, tmp_path / "a.zip")
    forget()
    load(tmp_path / "a.zip")
    assert SearchEntry.objects.filter(production=full.production.pk).exists()


def test_two_productions_on_one_server_keep_apart(full: World, tmp_path: Path) -> None:
    other = make_world("Another")
    export(full.production, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as zipped:
        text = b"".join(zipped.read(name) for name in zipped.namelist()).decode(errors="replace")
    assert str(other.rig.pk) not in text
    assert str(other.production.pk) not in text
    assert other.engineer.email not in text


def test_no_secret_leaves(full: World, tmp_path: Path) -> None:
    export(full.production, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as zipped:
        people = json.loads(zipped.read(f"records/{PEOPLE}.json"))
        names = zipped.namelist()
    assert all(set(each) == {"id", "email", "name"} for each in people)
    assert "records/core.onetimelink.json" not in names


def test_whoever_has_an_account_here_joins_with_it(full: World, tmp_path: Path) -> None:
    engineer = full.engineer
    export(full.production, tmp_path / "a.zip")
    forget()
    here = User.objects.create_user(engineer.email, "The same person", "long-enough-1")
    load(tmp_path / "a.zip")
    assert Membership.objects.filter(user=here, role="engineer").exists()
    stand_in = User.objects.get(pk=engineer.pk)
    assert not stand_in.is_active
    assert not stand_in.has_usable_password()
    call_command("verify")  # history still names who wrote it


def test_a_production_that_is_here_is_not_loaded_over(full: World, tmp_path: Path) -> None:
    export(full.production, tmp_path / "a.zip")
    with pytest.raises(CommandError, match="on this server already"):
        call_command("import", str(tmp_path / "a.zip"))


def test_a_lost_file_stops_the_export_and_leaves_nothing(full: World, tmp_path: Path) -> None:
    photo = StoredPhoto.objects.first()
    assert photo is not None
    default_storage.delete(path_of(photo.sha256))
    with pytest.raises(MissingFile, match=photo.sha256):
        export(full.production, tmp_path / "a.zip")
    assert list(tmp_path.iterdir()) == []


def test_an_interrupted_export_leaves_nothing(
    full: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(_: Any) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr("notes.archive.writer.provenance", stop)
    with pytest.raises(KeyboardInterrupt):
        export(full.production, tmp_path / "a.zip")
    assert list(tmp_path.iterdir()) == []


def test_the_command_refuses_to_write_over_a_file(full: World, tmp_path: Path) -> None:
    (tmp_path / "a.zip").write_bytes(b"mine")
    with pytest.raises(CommandError, match="already"):
        call_command("export", str(full.production.pk), str(tmp_path / "a.zip"))
    assert (tmp_path / "a.zip").read_bytes() == b"mine"


def test_every_model_is_carried_or_left_out_by_name() -> None:
    every = {
        model._meta.label
        for app in ("core", "rigs", "notes")
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
    }
    carried = {model._meta.label for model in tables()}
    assert carried | set(LEFT_OUT) == every
    assert not carried & set(LEFT_OUT)


def test_no_row_is_lost_for_a_column_that_may_be_empty() -> None:
    """The way from a row to its production goes over columns that always lead on."""
    for model in tables():
        at = model
        for step in path_to_production(model).split("__") if model is not Production else ():
            field = at._meta.get_field(step)
            assert not field.null, f"{name_of(model)}: {step}"
            at = field.related_model  # type: ignore[assignment]


def test_the_published_schema_is_the_one_that_is_used() -> None:
    published = json.loads((ROOT / "docs" / "archive.schema.json").read_text())
    assert published == schema(), "run: manage.py export --schema > docs/archive.schema.json"
    jsonschema.Draft202012Validator.check_schema(published)


def test_every_row_fits_the_published_schema(full: World, tmp_path: Path) -> None:
    published = json.loads((ROOT / "docs" / "archive.schema.json").read_text())
    export(full.production, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as zipped:
        manifest = json.loads(zipped.read("manifest.json"))
        jsonschema.validate(manifest, {k: v for k, v in published.items() if k != "$defs"})
        for model in tables():
            rows = json.loads(zipped.read(f"records/{name_of(model)}.json"))
            for row in rows:
                jsonschema.validate(row, published["$defs"][name_of(model)])


def test_the_provenance_is_prov_json_to_an_independent_reader(full: World, tmp_path: Path) -> None:
    """Read by the general-purpose library `prov` (W3C PROV-DM, PROV-JSON)."""
    export(full.production, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as zipped:
        text = zipped.read("provenance.json").decode()
    document = ProvDocument.deserialize(content=text, format="json")
    changes, signed = full.rig.revisions.count(), SignOff.objects.count()
    assert len(list(document.get_records(ProvGeneration))) == changes + signed
    assert len(list(document.get_records(ProvAssociation))) == changes + signed
    assert len(list(document.get_records(ProvDerivation))) == changes - 1
    again = ProvDocument.deserialize(content=document.serialize(format="json"), format="json")
    assert again == document


# No text has these (XML 1.0, section 2.2, production Char); tests/core/test_text_everywhere.py
NO_CHARACTERS = "".join(map(chr, {*range(32)} - {9, 10, 13})) + "\ufffe\uffff"
words = st.text(
    st.characters(exclude_categories=("Cs",), exclude_characters=NO_CHARACTERS),
    min_size=1,
    max_size=60,
)


class AnyWords(TransactionTestCase):
    """Whatever people write comes back as they wrote it: quotes, right-to-left, emoji, controls."""

    @settings(max_examples=12, suppress_health_check=list(HealthCheck))
    @given(st.lists(words, min_size=1, max_size=4))
    def test_comes_back(self, said: list[str]) -> None:
        import tempfile

        world = make_world()
        for each in said:
            Note.objects.create(
                production=world.production,
                rig=world.rig,
                words=each,
                verdict="adjust",
                written_by=world.engineer,
            )
        with tempfile.TemporaryDirectory() as folder:
            first, second = Path(folder, "1.zip"), Path(folder, "2.zip")
            digest = export(world.production, first)
            forget()
            found = load(first)
            assert sorted(Note.objects.values_list("words", flat=True)) == sorted(said)
            assert export(found, second) == digest
            forget()


@pytest.fixture(autouse=True)
def _own_media(settings: Any, tmp_path_factory: pytest.TempPathFactory) -> None:
    settings.MEDIA_ROOT = tmp_path_factory.mktemp("media")
