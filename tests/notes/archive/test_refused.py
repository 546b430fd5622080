"""An archive that is not what was written is refused, the place is named, and nothing is kept."""

from __future__ import annotations

import hashlib
import json
import random
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from core.models import Production, User
from notes.archive.checks import ArchiveRefused
from notes.archive.load import load
from notes.archive.reader import MAX_ROW
from notes.models import Note
from rigs.models import Revision, StoredPhoto
from tests.notes.archive.test_round_trip import forget

Members = dict[str, bytes]


@pytest.fixture
def members(archived: Path) -> Members:
    """A whole archive in pieces; nothing of it is left on the server."""
    with zipfile.ZipFile(archived) as zipped:
        return {name: zipped.read(name) for name in zipped.namelist()}


def packed(members: Members, tmp_path: Path, *more: tuple[str, bytes]) -> Path:
    path = tmp_path / "b.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name, body in (*members.items(), *more):
            kept = zipfile.ZIP_STORED if name.startswith("files/") else zipfile.ZIP_DEFLATED
            zipped.writestr(name, body, kept)
    return path


def vouched(members: Members) -> Members:
    """With a manifest that says of every member what it is: by somebody who knows the format."""
    manifest = json.loads(members["manifest.json"])
    manifest["members"] = {
        name: {"bytes": len(body), "sha256": hashlib.sha256(body).hexdigest()}
        for name, body in members.items()
        if name != "manifest.json"
    }
    return members | {"manifest.json": json.dumps(manifest).encode()}


def refused(path: Path, place: str, tmp_path: Path) -> None:
    with pytest.raises(ArchiveRefused, match=place):
        load(path)
    assert not Production.objects.exists()
    assert not Revision.objects.exists()
    assert not User.objects.exists()
    left = [p for p in (tmp_path / "other").rglob("*") if p.is_file()]
    assert left == []


def edited(members: Members, table: str, edit: Callable[[list[Any]], None]) -> Members:
    name = f"records/{table}.json"
    rows = json.loads(members[name])
    edit(rows)
    return vouched(members | {name: listed(rows)})


def listed(rows: list[Any]) -> bytes:
    """As an export writes them: one row a line."""
    lines = [json.dumps(row, ensure_ascii=False) for row in rows]
    return ("[\n" + ",\n".join(lines) + "\n]\n").encode() if rows else b"[]\n"


def test_untouched_it_loads(members: Members, tmp_path: Path) -> None:
    load(packed(members, tmp_path))
    assert Production.objects.exists()


def test_an_archive_from_before_there_was_a_column_loads(members: Members, tmp_path: Path) -> None:
    """A column that may be empty was added since; what was not said then is empty."""
    added = ("page_at", "arrived_at", "device_said")

    def without(rows: list[Any]) -> None:
        for row in rows:
            for name in added:
                del row[name]

    load(packed(edited(members, "notes.note", without), tmp_path))
    assert {note.arrived_at for note in Note.objects.all()} == {None}


def test_every_member_is_missed_and_every_flipped_byte_is_seen(
    members: Members, tmp_path: Path
) -> None:
    for name in members:
        if name == "manifest.json":
            continue
        without = {key: body for key, body in members.items() if key != name}
        refused(packed(without, tmp_path), f"{name}: is missing", tmp_path)
        body = bytearray(members[name])
        body[len(body) // 2] ^= 1
        refused(packed(members | {name: bytes(body)}, tmp_path), name, tmp_path)


def test_a_rewritten_history_is_seen_although_the_manifest_vouches_for_it(
    members: Members, tmp_path: Path
) -> None:
    def rename(rows: list[Any]) -> None:
        rows[0]["author_name"] = "Somebody else"

    refused(packed(edited(members, "rigs.revision", rename), tmp_path), "history", tmp_path)


def test_a_provenance_that_tells_otherwise_is_seen_although_the_manifest_vouches_for_it(
    members: Members, tmp_path: Path
) -> None:
    told = members["provenance.json"].replace(b"engineer", b"somebody")
    assert told != members["provenance.json"]
    path = packed(vouched(members | {"provenance.json": told}), tmp_path)
    refused(path, r"provenance\.json: does not tell what the records tell", tmp_path)


def test_a_rewritten_note_is_seen_by_whoever_has_the_digest(
    members: Members, tmp_path: Path
) -> None:
    def put(rows: list[Any]) -> None:
        rows[0]["words"] = "It is perfect."

    digest = hashlib.sha256(members["manifest.json"]).hexdigest()
    path = packed(edited(members, "notes.note", put), tmp_path)
    with pytest.raises(ArchiveRefused, match=r"manifest\.json: its digest"):
        load(path, digest=digest)


@pytest.mark.parametrize(
    ("table", "field", "value", "place"),
    [
        ("notes.note", "verdict", 7, r"records/notes\.note\.json, row 1, verdict"),
        ("notes.note", "written_at", "yesterday", r"notes\.note\.json, row 1, written_at"),
        (
            "notes.note",
            "rig",
            "0" * 8 + "-0000-0000-0000-" + "0" * 12,
            r"row 1, rig: there is no rigs.rig",
        ),
        ("notes.note", "take", "x" * 5000, r"row 1, take: is longer"),
        ("notes.note", "words", "a\0b", r"row 1, words: holds U\+0000"),
        ("rigs.device", "max_spl_db", "1e9", r"rigs\.device\.json, row 1, max_spl_db"),
        ("rigs.keyframe", "body", "%%%", r"rigs\.keyframe\.json, row 1, body"),
        ("core.user", "email", "no address", r"core\.user\.json, row 1"),
    ],
)
def test_a_value_that_cannot_be_is_named(
    members: Members, tmp_path: Path, table: str, field: str, value: Any, place: str
) -> None:
    def put(rows: list[Any]) -> None:
        rows[0][field] = value

    refused(packed(edited(members, table, put), tmp_path), place, tmp_path)


def test_a_row_with_too_little_or_too_much(members: Members, tmp_path: Path) -> None:
    def more(rows: list[Any]) -> None:
        rows[0]["is_staff"] = True

    def less(rows: list[Any]) -> None:
        del rows[0]["name"]

    for edit in (more, less):
        refused(packed(edited(members, "core.user", edit), tmp_path), r"core\.user", tmp_path)


def test_names_that_lead_elsewhere(members: Members, tmp_path: Path) -> None:
    for name in (
        "../../etc/evil",
        "/etc/evil",
        "files/photos/../../x",
        "records/core.user.json/..",
    ):
        refused(packed(members, tmp_path, (name, b"x")), "no archive has", tmp_path)
        known = vouched(members | {name: b"x"})
        refused(packed(known, tmp_path), "no archive has", tmp_path)


def test_the_same_member_twice(members: Members, tmp_path: Path) -> None:
    with pytest.warns(UserWarning, match="Duplicate name"):
        path = packed(members, tmp_path, ("records/core.user.json", b"[]"))
    refused(path, "twice", tmp_path)


def test_a_bomb_is_left_before_it_goes_off(members: Members, tmp_path: Path) -> None:
    bomb = b"[" + b" " * (300 << 20) + b"]"
    refused(packed(members | {"records/notes.note.json": bomb}, tmp_path), "holds more", tmp_path)
    manifest = json.loads(members["manifest.json"])
    manifest["members"]["records/notes.note.json"]["bytes"] = 1 << 40
    lying = members | {"manifest.json": json.dumps(manifest).encode()}
    refused(packed(lying, tmp_path), "more than an archive may have", tmp_path)


def test_a_packed_file_is_refused_since_it_could_be_a_bomb(
    members: Members, tmp_path: Path
) -> None:
    path = tmp_path / "p.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name, body in members.items():
            zipped.writestr(name, body)
    refused(path, "are kept as they are", tmp_path)


def test_files_that_share_their_bytes_cannot_be_more_than_the_archive(
    members: Members, tmp_path: Path
) -> None:
    """Many names for one stretch of the zip: what such bombs are made of."""
    manifest = json.loads(members["manifest.json"])
    for number in range(100):
        name = f"files/sounds/{number:064x}"
        manifest["members"][name] = {"bytes": 1 << 20, "sha256": f"{number:064x}"}
        members[name] = b"x"
    lying = members | {"manifest.json": json.dumps(manifest).encode()}
    refused(packed(lying, tmp_path), "are kept as they are", tmp_path)


def test_ways_of_packing_that_no_export_uses(members: Members, tmp_path: Path) -> None:
    path = tmp_path / "p.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_LZMA) as zipped:
        zipped.writestr("manifest.json", members["manifest.json"])
    refused(path, r"manifest\.json: is packed in a way", tmp_path)


@pytest.mark.parametrize(
    ("body", "place"),
    [
        (b"", "row 1: is not one row a line"),
        (b"{}", "row 1: is not one row a line"),
        (b"[{}]", "row 1: is not one row a line"),
        (b"[\n]\n", "row 1: is no JSON"),
        (b"[]\n[]\n", "goes on after its end"),
        (b"[\n{}\n]\n", "row 1: 'email' is a required property"),
        (b'[\n{"id": NaN}\n]\n', "row 1: is no JSON .NaN is no number"),
        (b'[\n{"id": "\\ud800"}\n]\n', "row 1: is no JSON"),
        (b"[\n" + b"[" * 100_000 + b"\n]\n", "row 1: is no JSON"),
    ],
    ids=["empty", "no-list", "one-line", "no-row", "more", "bare", "nan", "half-character", "deep"],
)
def test_tables_that_no_export_writes(
    members: Members, tmp_path: Path, body: bytes, place: str
) -> None:
    changed = vouched(members | {"records/core.user.json": body})
    refused(packed(changed, tmp_path), rf"records/core\.user\.json.*{place}", tmp_path)


def test_a_row_without_end_is_left(members: Members, tmp_path: Path) -> None:
    long = b"[\n" + b" " * (MAX_ROW + (2 << 20))
    refused(
        packed(vouched(members | {"records/notes.note.json": long}), tmp_path),
        r"notes\.note\.json: has a row of more than",
        tmp_path,
    )


def test_another_spelling_of_a_value_is_refused(members: Members, tmp_path: Path) -> None:
    """Otherwise what comes in would not go out again byte for byte."""
    for field, value in (("written_at", "2026-03-01T12:00:00Z"), ("written_at", "2026-03-01")):

        def put(rows: list[Any], field: str = field, value: str = value) -> None:
            rows[0][field] = value

        refused(packed(edited(members, "notes.note", put), tmp_path), f"row 1, {field}", tmp_path)


HOSTILE: list[Any] = [
    None,
    True,
    0,
    -1,
    2**70,
    1e308,
    "",
    "x",
    "\n",
    "-" * 36,
    "0" * 36,
    "a" * 100_000,
    [],
    {},
    "9999-12-31T23:59:59.999999-23:59",
    "0001-01-01",
    "1e400",
    "NaN",
    "\u202e",
    [[[[]]]],
    {"a": {}},
]


def test_whatever_stands_in_whichever_column_ends_in_a_refusal_or_loads(
    members: Members, tmp_path: Path
) -> None:
    chance = random.Random(20261126)
    tables = [n for n in sorted(members) if n.startswith("records/") and members[n] != b"[]\n"]
    for _ in range(24):
        name = chance.choice(tables)
        rows = json.loads(members[name])
        row = chance.choice(rows)
        row[chance.choice(sorted(row))] = chance.choice(HOSTILE)
        path = packed(vouched(members | {name: listed(rows)}), tmp_path)
        try:
            load(path)
        except ArchiveRefused:
            assert not Production.objects.exists()
        else:
            forget()


def test_files_without_a_record_and_records_without_a_file(
    members: Members, tmp_path: Path
) -> None:
    extra = f"files/photos/{hashlib.sha256(b'x').hexdigest()}"
    refused(packed(vouched(members | {extra: b"x"}), tmp_path), "no record speaks", tmp_path)
    (some,) = [name for name in members if name.startswith("files/photos/")][:1]
    without = vouched({key: body for key, body in members.items() if key != some})
    refused(packed(without, tmp_path), f"{some}: is missing", tmp_path)
    other = vouched(members | {some: b"another picture"})
    refused(packed(other, tmp_path), "its name is not its digest", tmp_path)


@pytest.mark.parametrize("body", [b"", b"PK\x03\x04", b"not a zip", b"\0" * 1000])
def test_what_is_no_zip(db: None, tmp_path: Path, body: bytes) -> None:
    path = tmp_path / "c.zip"
    path.write_bytes(body)
    refused(path, "not a zip file", tmp_path)


def test_bytes_flipped_and_cut_anywhere_never_end_in_anything_else(
    members: Members, tmp_path: Path
) -> None:
    whole = packed(members, tmp_path).read_bytes()
    chance = random.Random(20261125)
    path = tmp_path / "d.zip"
    for _ in range(60):
        body = bytearray(whole)
        for _ in range(chance.randrange(1, 5)):
            body[chance.randrange(len(body))] ^= 1 << chance.randrange(8)
        if chance.random() < 0.4:
            del body[chance.randrange(len(body)) :]
        path.write_bytes(bytes(body))
        try:
            load(path)
        except ArchiveRefused:
            assert not Production.objects.exists()
        else:  # the flip hit what nobody reads, such as a date in the zip's own list
            forget()


def test_an_import_that_dies_in_the_middle_leaves_nothing(
    members: Members, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("notes.archive.load.reindex", stop)
    with pytest.raises(KeyboardInterrupt):
        load(packed(members, tmp_path))
    assert not Production.objects.exists()
    assert not [p for p in (tmp_path / "other").rglob("*") if p.is_file()]
    assert not StoredPhoto.objects.exists()


def test_a_server_that_is_not_set_up_says_what_to_do(archived: Path, tmp_path: Path) -> None:
    newest = MigrationRecorder.Migration.objects.filter(app="notes").order_by("name").last()
    assert newest is not None
    MigrationRecorder(connection).record_unapplied("notes", newest.name)
    for command, given in (("import", [archived]), ("export", ["The Long Quiet", tmp_path / "x"])):
        with pytest.raises(CommandError, match="Run “manage.py migrate” first"):
            call_command(command, *map(str, given))
    assert not (tmp_path / "x").exists()


def test_a_folder_is_no_archive(tmp_path: Path) -> None:
    with pytest.raises(ArchiveRefused, match="is a folder, no archive"):
        load(tmp_path)
