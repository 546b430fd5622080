"""Timestamps after RFC 3161, against an authority made of OpenSSL's `ts`: another program for the
authority's side, for the certificates, and once for the verifying."""

from __future__ import annotations

import base64
import json
import shutil
import subprocess
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from io import StringIO
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from django.core.management import CommandError, call_command

from core.proof import timestamps
from core.proof.checkpoints import Stated
from core.proof.kept import Kept
from tests.support.world import World

pytestmark = pytest.mark.skipif(not shutil.which("openssl"), reason="OpenSSL's program is absent")

SETTINGS = """
[ tsa ]
default_tsa = stamping
[ stamping ]
serial = {folder}/serial
signer_cert = {folder}/stamper.pem
signer_key = {folder}/stamper.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha384, sha512
ess_cert_id_alg = sha256
[ root ]
basicConstraints = critical,CA:true
keyUsage = critical,keyCertSign
subjectKeyIdentifier = hash
[ stamper ]
basicConstraints = CA:false
keyUsage = critical,digitalSignature
extendedKeyUsage = critical,timeStamping
subjectKeyIdentifier = hash
authorityKeyIdentifier = keyid
"""


class Authority(NamedTuple):
    folder: Path
    address: str

    @property
    def root(self) -> Path:
        return self.folder / "root.pem"


def openssl(folder: Path, *words: str) -> None:
    done = subprocess.run(["openssl", *words], cwd=folder, capture_output=True, check=False)  # noqa: S607
    assert done.returncode == 0, done.stderr.decode()


def certify(folder: Path) -> None:
    (folder / "ts.cnf").write_text(SETTINGS.format(folder=folder))
    (folder / "serial").write_text("01\n")
    new = ("req", "-newkey", "rsa:2048", "-nodes", "-config", "/dev/null")
    for name in ("root", "stamper"):
        openssl(
            folder, *new, "-subj", f"/CN={name}", "-keyout", f"{name}.key", "-out", f"{name}.csr"
        )
    own = ("-extfile", "ts.cnf", "-days", "2")
    signed = ("x509", "-req", "-in", "root.csr", "-signkey", "root.key", "-extensions", "root")
    openssl(folder, *signed, *own, "-out", "root.pem")
    by = ("-CA", "root.pem", "-CAkey", "root.key", "-CAcreateserial", "-extensions", "stamper")
    openssl(folder, "x509", "-req", "-in", "stamper.csr", *by, *own, "-out", "stamper.pem")


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Authority]:
    folder = tmp_path_factory.mktemp("authority")
    certify(folder)

    class Answering(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            query = self.rfile.read(int(self.headers["Content-Length"]))
            if self.path == "/moved":
                self.send_response(302)
                self.send_header("Location", "/")
                self.end_headers()
                return
            assert self.headers["Content-Type"] == "application/timestamp-query"
            (folder / "asked.tsq").write_bytes(query)
            reply = ("ts", "-reply", "-config", "ts.cnf", "-queryfile", "asked.tsq")
            openssl(folder, *reply, "-out", "answer.tsr")
            said = (folder / "answer.tsr").read_bytes()
            self.send_response(200)
            self.send_header("Content-Type", "application/timestamp-reply")
            self.end_headers()
            self.wfile.write(b"not one" if self.path == "/broken" else said)

        def log_message(self, *args: Any) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Answering)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield Authority(folder, f"http://127.0.0.1:{server.server_port}/")
    server.shutdown()


STATED = Stated("2f0c", 12, "ab" * 32, "2026-11-30T12:00:00.000000+00:00", protected=True)


def test_what_the_authority_stamped_is_vouched_for_by_its_root(authority: Authority) -> None:
    answer = timestamps.ask(STATED, authority.address)
    roots = timestamps.read_roots(authority.root)
    assert timestamps.stamped_at(STATED, answer, roots).year >= 2026
    (authority.folder / "own.txt").write_bytes(STATED.text())
    (authority.folder / "own.tsr").write_bytes(base64.b64decode(answer))
    checked = ("ts", "-verify", "-data", "own.txt", "-in", "own.tsr", "-CAfile", "root.pem")
    openssl(authority.folder, *checked)


def test_of_another_checkpoint_or_by_nobody_known_it_does_not_hold(
    authority: Authority, tmp_path: Path
) -> None:
    answer = timestamps.ask(STATED, authority.address)
    roots = timestamps.read_roots(authority.root)
    certify(tmp_path)  # somebody else's, of the same name
    others = timestamps.read_roots(tmp_path / "root.pem")
    spoilt = base64.b64encode(base64.b64decode(answer)[:-1] + b"\0").decode()
    for checkpoint, said, by in (
        (STATED._replace(size=13), answer, roots),
        (STATED, answer, others),
        (STATED, spoilt, roots),
        (STATED, "AAAA", roots),
        (STATED, "no Base64", roots),
    ):
        with pytest.raises(timestamps.NoTimestamp):
            timestamps.stamped_at(checkpoint, said, by)


def test_an_authority_that_does_not_answer_is_named(authority: Authority) -> None:
    for address in (f"{authority.address}broken", "http://127.0.0.1:9/", "file:///etc/hosts"):
        with pytest.raises(timestamps.NoTimestamp, match=address):
            timestamps.ask(STATED, address)


def test_an_authority_cannot_send_us_elsewhere(authority: Authority) -> None:
    with pytest.raises(timestamps.NoTimestamp, match="/moved.*302"):
        timestamps.ask(STATED, f"{authority.address}moved")


@pytest.mark.django_db
def test_a_file_of_checkpoints_carries_its_timestamps(
    world: World, authority: Authority, tmp_path: Path
) -> None:
    file, said = tmp_path / "checkpoints.json", StringIO()
    call_command("checkpoint", to=file, timestamp=authority.address, stdout=said)
    (checkpoint, stamp), *_ = Kept([str(file)]).timestamps
    assert stamp
    verified = StringIO()
    call_command("verify", checkpoint=[str(file)], authority=authority.root, stdout=verified)
    assert f"Checkpoint {checkpoint.code} was there on" in verified.getvalue()

    call_command("verify", checkpoint=[str(file)], stdout=verified)
    assert "that needs --authority" in verified.getvalue()

    rows = json.loads(file.read_text())
    rows[0]["at"] = "2020-01-01T00:00:00.000000+00:00"  # dated back
    file.write_text(json.dumps(rows))
    with pytest.raises(CommandError, match="does not hold"):
        call_command("verify", checkpoint=[str(file)], authority=authority.root, stdout=said)


@pytest.mark.django_db
def test_nothing_is_written_where_no_timestamp_comes(world: World, tmp_path: Path) -> None:
    file = tmp_path / "checkpoints.json"
    with pytest.raises(CommandError, match="Nothing was written"):
        call_command("checkpoint", to=file, timestamp="http://127.0.0.1:9/", stdout=StringIO())
    assert not file.exists()
    with pytest.raises(CommandError, match="--to"):
        call_command("checkpoint", timestamp="http://127.0.0.1:9/", stdout=StringIO())
