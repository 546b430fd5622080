"""A file in pieces: what is taken, where it goes on, what is refused, and what is forgotten.

What is expected of offsets is in the IETF's draft-ietf-httpbis-resumable-upload (from memory): a
piece is taken at the current offset only, another offset is answered with 409 and the current one,
and HEAD tells it. Digests are those of Python's hashlib (FIPS 180-4).
"""

from __future__ import annotations

import hashlib
import io
import random
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import Client
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis
from hypothesis import strategies as st

from core import clock
from core.models import Upload, UploadPiece
from core.uploads import pieces
from core.uploads.pieces import PIECE_LEAST, PIECE_MOST, UploadRefused
from rigs.photos.services import add_photos
from tests.core.uploads.senders import append, begin, digest, place, send
from tests.support.everything import picture
from tests.support.own_process import run_alone
from tests.support.pages import as_user
from tests.support.world import World, make_world

DATA = random.Random(1).randbytes(160 * 1024)  # two pieces and a last short one
FIRST, SECOND = DATA[:PIECE_LEAST], DATA[PIECE_LEAST : 2 * PIECE_LEAST]


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def client(world: World) -> Client:
    return as_user(world.tech)


def stored(media: Path) -> list[Path]:
    return [path for path in media.rglob("*") if path.is_file()]


def test_a_file_comes_in_pieces_and_is_the_same(world: World, client: Client) -> None:
    upload = send(client, world, DATA)
    file = pieces.joined(Upload.objects.get(pk=upload))
    assert hashlib.sha256(file.read()).digest() == hashlib.sha256(DATA).digest()
    assert (file.name, file.content_type, file.size) == ("take.wav", "audio/wav", len(DATA))


def test_it_tells_where_to_go_on(world: World, client: Client) -> None:
    nothing = client.head(place(world))
    assert (nothing.headers["Upload-Offset"], "Upload-Length" in nothing.headers) == ("0", False)
    begin(client, world, DATA)
    answer = append(client, world, 0, FIRST)
    assert (answer.status_code, answer.headers["Upload-Offset"]) == (204, str(PIECE_LEAST))
    there = client.head(place(world))
    assert there.headers["Upload-Offset"] == str(PIECE_LEAST)
    assert there.headers["Upload-Length"] == str(len(DATA))
    assert there.headers["Upload-Complete"] == "?0"
    assert f"max-append-size={PIECE_MOST}" in there.headers["Upload-Limit"]
    again = begin(client, world, DATA).json()
    assert again["offset"] == PIECE_LEAST
    assert again["pieces"] == [[PIECE_LEAST, hashlib.sha256(FIRST).hexdigest()]]
    assert Upload.objects.count() == 1


def test_the_same_piece_twice_is_refused_with_the_offset(
    world: World, client: Client, media: Path
) -> None:
    begin(client, world, DATA)
    append(client, world, 0, FIRST)
    again = append(client, world, 0, FIRST)
    assert (again.status_code, again.json()["code"]) == (409, "other_offset")
    assert again.headers["Upload-Offset"] == str(PIECE_LEAST)
    assert len(stored(media)) == 1


LAST = len(DATA) - 2 * PIECE_LEAST


@pytest.mark.parametrize(
    ("offset", "piece", "status", "code"),
    [
        (PIECE_LEAST, SECOND, 409, "other_offset"),  # a gap
        (1, FIRST, 409, "other_offset"),
        (len(DATA) + 1, FIRST, 409, "other_offset"),
        (-1, FIRST, 400, "unreadable"),
        ("", FIRST, 400, "unreadable"),
        ("0x0", FIRST, 400, "unreadable"),
        ("9" * 40, FIRST, 400, "unreadable"),
        (0, b"", 400, "piece_too_short"),
        (0, FIRST[:-1], 400, "piece_too_short"),
        (0, DATA + b"!", 400, "beyond_the_end"),
        (0, bytes(PIECE_MOST + 1), 413, "piece_too_long"),
    ],
)
def test_pieces_that_do_not_fit(
    world: World, client: Client, media: Path, offset: Any, piece: bytes, status: int, code: str
) -> None:
    begin(client, world, DATA)
    answer = append(client, world, offset, piece)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.json()["detail"].endswith(".")
    assert (stored(media), UploadPiece.objects.count()) == ([], 0)


def test_a_piece_has_to_be_what_its_digest_says(world: World, client: Client) -> None:
    begin(client, world, DATA)
    for said in (digest(SECOND), "sha-256=:not base64:", "sha-256=:AAAA:"):
        wrong = append(client, world, 0, FIRST, headers={"Content-Digest": said})
        assert (wrong.status_code, wrong.json()["code"]) == (400, "other_digest")
    right = append(client, world, 0, FIRST, headers={"Content-Digest": digest(FIRST)})
    assert right.status_code == 204


def test_a_piece_that_is_cut_off_is_not_taken(world: World, client: Client) -> None:
    begin(client, world, DATA)
    sent: Any = {"CONTENT_LENGTH": "100000", "wsgi.input": io.BytesIO(FIRST)}
    cut = client.generic("PATCH", place(world), headers={"Upload-Offset": "0"}, **sent)
    assert (cut.status_code, cut.json()["code"]) == (400, "cut_off")
    assert client.head(place(world)).headers["Upload-Offset"] == "0"


def test_a_piece_for_an_upload_of_before_is_not_taken(world: World, client: Client) -> None:
    """The upload was dropped meanwhile, and begun anew under the same key."""
    before = begin(client, world, DATA).json()["id"]
    client.delete(place(world))
    begin(client, world, DATA)
    answer = append(client, world, 0, FIRST, headers={"If-Match": f'"{before}"'})
    assert (answer.status_code, answer.json()["code"]) == (410, "upload_gone")


@pytest.mark.parametrize(
    ("more", "status"),
    [
        ({"size": "-1"}, 400),
        ({"size": ""}, 400),
        ({"size": "many"}, 400),
        ({"name": ""}, 400),
        ({"name": ".."}, 400),
    ],
)
def test_what_cannot_be_begun(world: World, client: Client, more: Any, status: int) -> None:
    assert begin(client, world, DATA, **more).status_code == status
    assert not Upload.objects.exists()


def test_a_size_that_no_form_takes_is_refused_before_a_byte(
    world: World, client: Client, settings: Any
) -> None:
    settings.UPLOAD_MAX_BYTES = len(DATA)
    assert begin(client, world, DATA + b"!").status_code == 413
    assert begin(client, world, DATA).status_code == 200


def test_a_key_stands_for_one_file(world: World, client: Client) -> None:
    begin(client, world, DATA)
    other = begin(client, world, DATA + b"!")
    assert (other.status_code, other.json()["code"]) == (409, "other_file")
    assert client.post(place(world, "short"), {}).status_code == 400


def test_names_are_what_a_form_makes_of_them(world: World, client: Client) -> None:
    names = {"C:\\takes\\low D.wav": "low D.wav", "a/b.wav": "b.wav", f"{'x' * 300}.wav": None}
    for number, (name, expected) in enumerate(names.items()):
        begin(client, world, DATA, f"a-key-of-{number}", name=name)
        kept = Upload.objects.get(key=f"a-key-of-{number}").name
        assert len(kept) <= 255
        assert kept.endswith(".wav")
        assert expected in (None, kept)


@pytest.mark.parametrize(
    ("who", "status"), [("engineer", 200), ("player", 200), ("crew", 200), ("manager", 403)]
)
def test_who_may_send_forms_with_files_may_upload(world: World, who: str, status: int) -> None:
    assert begin(as_user(world.people[who]), world, DATA).status_code == status


def test_nobody_else_sees_or_continues_it(world: World, client: Client) -> None:
    begin(client, world, DATA)
    append(client, world, 0, FIRST)
    other = as_user(world.engineer)
    assert other.get(place(world)).json()["offset"] == 0
    assert append(other, world, PIECE_LEAST, SECOND).status_code == 410
    other.delete(place(world))
    assert as_user(world.outsider).get(place(world)).status_code == 404
    assert Client().get(place(world)).status_code == 302
    elsewhere = make_world("Elsewhere")
    elsewhere.production.memberships.create(user=world.tech, role="tech")
    assert client.get(place(elsewhere)).json()["offset"] == 0
    assert client.get(place(world)).json()["offset"] == PIECE_LEAST


def test_one_person_has_so_much_on_its_way_and_no_more(
    world: World, client: Client, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.UPLOAD_MAX_BYTES = len(DATA)
    keys = [f"a-key-of-{number}" for number in range(3)]
    assert [begin(client, world, DATA, key).status_code for key in keys] == [200, 200, 413]
    assert begin(as_user(world.engineer), world, DATA).status_code == 200
    Upload.objects.filter(key=keys[0]).update(used_at=clock.now())  # a form has it
    assert begin(client, world, DATA, keys[2]).status_code == 200
    assert not Upload.objects.filter(key=keys[0]).exists()
    monkeypatch.setattr(pieces, "AT_ONCE", 2)
    assert begin(client, world, b"one", "a-key-of-many").status_code == 413


def test_to_give_up_leaves_nothing(
    world: World, client: Client, media: Path, django_capture_on_commit_callbacks: Any
) -> None:
    send(client, world, DATA)
    assert len(stored(media)) == 3
    with django_capture_on_commit_callbacks(execute=True):
        assert client.delete(place(world)).status_code == 204
    assert (stored(media), Upload.objects.count()) == ([], 0)
    assert list((media / "uploads").iterdir()) == []
    assert client.delete(place(world)).status_code == 204


def dropped(capsys: pytest.CaptureFixture[str], capture: Any) -> str:
    with capture(execute=True):
        call_command("drop_unused")
    return capsys.readouterr().out


def test_what_nobody_goes_on_with_is_dropped_after_a_day(
    world: World,
    client: Client,
    media: Path,
    capsys: Any,
    django_capture_on_commit_callbacks: Any,
) -> None:
    for key in ("a-key-that-waits", "a-key-that-was-used", "a-key-that-goes-on"):
        send(client, world, DATA, key)
    day, hour = timedelta(days=1), timedelta(hours=1)
    ages = {"a-key-that-waits": {"touched_at": clock.now() - day}}
    ages["a-key-that-was-used"] = {"used_at": clock.now() - hour}
    for key, age in ages.items():
        Upload.objects.filter(key=key).update(**age)
    assert "2 uploads" in dropped(capsys, django_capture_on_commit_callbacks)
    assert [each.key for each in Upload.objects.all()] == ["a-key-that-goes-on"]
    assert len(stored(media)) == 3


def test_files_that_a_crash_left_behind_are_dropped_after_a_day(
    world: World,
    client: Client,
    media: Path,
    capsys: Any,
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: Any,
) -> None:
    send(client, world, DATA)
    add_photos(world.rig, [picture()], about=None, caption="", author=world.tech)
    kept = stored(media)
    assert len(kept) == 3 + 2  # pieces; a photo, small and in full
    left = [
        default_storage.save(f"uploads/{uuid4()}/0-piece", kept[0].open("rb")),  # type: ignore[arg-type]
        default_storage.save(f"photos/ab/{'ab' * 32}.webp", kept[0].open("rb")),  # type: ignore[arg-type]
    ]
    said = dropped(capsys, django_capture_on_commit_callbacks)
    assert "0 uploads" in said
    assert "0 files of photos" in said
    Upload.objects.update(touched_at=clock.now() + timedelta(days=2))
    with clock.set_to(clock.now() + timedelta(days=2)):
        said = dropped(capsys, django_capture_on_commit_callbacks)
    assert "1 uploads" in said
    assert "1 files of photos" in said
    assert not any(default_storage.exists(path) for path in left)
    assert sorted(stored(media)) == sorted(kept)


def test_what_the_storage_damaged_is_never_joined(
    world: World, client: Client, media: Path
) -> None:
    for harm in (lambda path: path.write_bytes(bytes(PIECE_LEAST)), lambda path: path.unlink()):
        upload = Upload.objects.get(pk=send(client, world, DATA))
        harm(Path(default_storage.path(upload.pieces.all()[1].path)))
        with pytest.raises(UploadRefused) as refused:
            pieces.joined(upload)
        assert refused.value.code == "upload_gone"
        assert not Upload.objects.exists()


SIZES = st.integers(0, 40)


@given(
    data=st.binary(max_size=120),
    steps=st.lists(st.tuples(st.integers(-3, 130), SIZES) | SIZES, max_size=25),
    ends=st.booleans(),
)
@hypothesis(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_the_order_of_pieces_the_file_is_the_same_or_refused(
    world: World,
    monkeypatch: pytest.MonkeyPatch,
    data: bytes,
    steps: list[Any],
    ends: bool,
) -> None:
    """A number goes on from where the upload stands, a pair is a piece from anywhere. What is
    expected is said by the bytes alone: a piece is taken if it is what comes next."""
    monkeypatch.setattr(pieces, "PIECE_LEAST", 4)
    monkeypatch.setattr(pieces, "PIECE_MOST", 32)
    upload = pieces.begin(
        user=world.tech,
        production=world.production,
        key=uuid4().hex,
        name="a",
        content_type="",
        size=len(data),
    )
    have = b""
    if ends:
        steps = [*steps, *[32] * 4]
    for step in steps:
        offset, size = step if isinstance(step, tuple) else (len(have), step)
        piece = data[max(offset, 0) :][:size]
        longer = have + piece
        fits = offset == len(have) and 0 < len(piece) <= 32 and data.startswith(longer)
        fits = fits and (len(piece) >= 4 or longer == data)
        stale = Upload.objects.get(pk=upload.pk)
        if fits:
            pieces.append(stale, offset=offset, data=piece)
            have = longer
        else:
            with pytest.raises(UploadRefused):
                pieces.append(stale, offset=offset, data=piece)
        assert Upload.objects.get(pk=upload.pk).received == len(have)
    upload.refresh_from_db()
    if have == data:
        assert hashlib.sha256(pieces.joined(upload).read()).digest() == (
            hashlib.sha256(data).digest()
        )
    else:
        with pytest.raises(UploadRefused):
            pieces.joined(upload)
    if ends:
        assert have == data


RACE = """
import hashlib, random
from pathlib import Path
from django.conf import settings
from core.models import Upload, UploadPiece
from core.uploads import pieces
from core.uploads.pieces import OtherOffset
from tests.support.world import make_world
settings.MEDIA_ROOT = FOLDER
world, data = make_world(), random.Random(1).randbytes(512 * 1024)
def begun():
    return pieces.begin(user=world.tech, production=world.production, key="the-same-key",
                        name="take.wav", content_type="", size=len(data))
taken = []
def send(own):
    upload = begun()
    while not upload.is_complete:
        piece = data[upload.received : upload.received + own]
        try:
            upload = pieces.append(upload, offset=upload.received, data=piece)
            taken.append(len(piece))
        except OtherOffset as elsewhere:
            upload = elsewhere.upload
results = race(send, *[pieces.PIECE_LEAST, pieces.PIECE_LEAST + 1000] * 3)
(upload,) = Upload.objects.filter(user=world.tech)
files = [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]
print(json.dumps([results, sum(taken) == len(data), len(files) == upload.pieces.count(),
    hashlib.sha256(pieces.joined(upload).read()).digest() == hashlib.sha256(data).digest()]))
"""


@pytest.mark.django_db(transaction=True)
def test_six_devices_at_once_make_one_file(tmp_path: Path) -> None:
    code = RACE.replace("FOLDER", repr(str(tmp_path / "files")))
    assert run_alone(code, tmp_path) == [["won"] * 6, True, True, True]
