"""Figures for programs, read back by the parser of the format that the library brings (OpenMetrics
1.0; later Prometheus text). The library wrote the text too, but of names and numbers it knows none.
"""

from __future__ import annotations

import contextlib
import os
import smtplib
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from prometheus_client.openmetrics.parser import text_string_to_metric_families as parse

from core.operation import figures
from core.sign_in import codes
from core.uploads import apart
from notes.clips import decoder_process
from notes.clips.formats import SoundError
from tests.support.loaded import ROOT
from tests.support.pages import as_user
from tests.support.world import World

SECRET = "a-long-secret-for-the-collector"


@pytest.fixture
def asked_for(settings: Any) -> None:
    settings.METRICS_TOKEN = SECRET


def ask() -> Any:
    headers = {"Authorization": f"Bearer {SECRET}", "Host": "10.0.0.7:8000"}
    return Client().get("/metrics", headers=headers)


def read(text: str = "") -> dict[tuple[str, ...], float]:
    """{(name, label value …): value}"""
    found = {}
    for family in parse(text or ask().content.decode()):
        for sample in family.samples:
            found[(sample.name, *sample.labels.values())] = sample.value
    return found


def grown(before: dict[tuple[str, ...], float], *key: str) -> float:
    return read().get(key, 0) - before.get(key, 0)


def test_there_are_none_unless_asked_for(db: None) -> None:
    assert Client().get("/metrics").status_code == 404


@pytest.mark.parametrize(
    "given", ["", SECRET, f"Bearer {SECRET}x", "Bearer ", "Basic YTpi", "Bearer ö"]
)
def test_only_whoever_sends_the_secret_gets_them(asked_for: None, given: str) -> None:
    answer = Client().get("/metrics", headers={"Authorization": given})
    assert (answer.status_code, answer.content) == (401, b"")
    assert answer.headers["WWW-Authenticate"] == "Bearer"


def test_requests_and_their_queries_are_counted_by_pattern(world: World, asked_for: None) -> None:
    client, before = as_user(world.tech), read()
    client.get(reverse("core:search", args=[world.production.pk]), {"q": "Brackmoor"})
    Client().get("/invitations/the-secret-of-a-link/")
    Client().generic("BREW-1234", "/login/")
    Client().get("/healthz")
    Client().get("/readyz")
    name = "toneledger_requests_total"
    assert grown(before, name, "GET", "/p/<uuid:production>/search/", "200") == 1
    assert grown(before, name, "GET", figures.NO_ROUTE, "404") == 1
    assert grown(before, name, "other", figures.NO_ROUTE, "405") == 1
    assert grown(before, "toneledger_request_seconds_count") == 3  # those of programs are not
    assert grown(before, "toneledger_queries_total") > 3
    assert grown(before, "toneledger_query_seconds_total") > 0
    answer = ask()
    assert answer.headers["Content-Type"].startswith("application/openmetrics-text; version=1.0")
    text = answer.content.decode()
    for word in ("Brackmoor", "secret", "BREW", str(world.production.pk), world.tech.name):
        assert word not in text
    assert text.endswith("# EOF\n")  # OpenMetrics 1.0, “Overall Structure”


def test_mails_are_counted_by_how_they_ended(
    asked_for: None, settings: Any, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    before = read()
    settings.EMAIL_BACKEND = "core.operation.mails.Console"
    mail.send_mail("Words", "Words", None, ["maud@ninefold.example"])
    settings.EMAIL_BACKEND, settings.EMAIL_HOST = "core.operation.mails.Smtp", "mail.invalid"

    def refused(*_: Any, **__: Any) -> None:
        raise smtplib.SMTPConnectError(421, "busy")

    monkeypatch.setattr("smtplib.SMTP.__init__", refused)
    with pytest.raises(OSError):
        mail.send_mail("Words", "Words", None, ["maud@ninefold.example"])
    assert grown(before, "toneledger_mails_total", "sent") == 1
    assert grown(before, "toneledger_mails_total", "failed") == 1
    assert "maud" not in ask().content.decode()


def test_refused_log_ins_are_counted(world: World, asked_for: None, settings: Any) -> None:
    before = read()
    settings.AXES_ENABLED, settings.AXES_FAILURE_LIMIT = True, 2
    for _ in range(2):
        Client().post("/login/", {"username": world.tech.email, "password": "wrong"})
    Client().get("/api/v1/productions/", headers={"Authorization": "Token none-such"})
    found = [
        grown(before, "toneledger_log_ins_failed_total", by)
        for by in ("password", "api_key", "locked_out")
    ]
    assert found == [2, 1, 1]
    assert world.tech.email not in ask().content.decode()


def test_refused_codes_and_passkeys_are_counted_and_logged(
    world: World, asked_for: None, caplog: Any
) -> None:
    before = read()
    for n in range(6):
        with contextlib.suppress(codes.TooMany):
            codes.check(world.tech, f"00000{n}")
    Client().post("/login/passkey/", {"credential": "{}"})
    found = [
        grown(before, "toneledger_log_ins_failed_total", by)
        for by in ("code", "passkey", "locked_out")
    ]
    assert found == [5, 1, 1]
    said = [each.getMessage() for each in caplog.records if each.name == "toneledger.log_ins"]
    assert said.count("A log-in was refused: code.") == 5
    assert said[-1] == "A log-in was refused: passkey."


def test_what_the_decoder_did_is_counted(asked_for: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "run", lambda *_, **__: 3)
    before = read()
    assert decoder_process.run(abs, -3, seconds=1) == 3

    def dies(*_: Any, **__: Any) -> None:
        raise apart.Died

    monkeypatch.setattr(apart, "run", dies)
    with pytest.raises(SoundError):
        decoder_process.run(abs, -3, seconds=1)
    assert grown(before, "toneledger_decoder_seconds_count", "done") == 1
    assert grown(before, "toneledger_decoder_seconds_count", "died") == 1


WORKER = """
import os, sys, time
from core.operation import figures
figures.mails_ended("sent", int(sys.argv[1]))
with figures.stream_open():
    print("ready", flush=True)
    sys.stdin.read()
    if sys.argv[2] == "killed": os.kill(os.getpid(), 9)
if sys.argv[2] == "asked": print(figures.exposition().decode(), end="")
"""


def test_several_processes_are_added_up_and_the_killed_holds_nothing_open(tmp_path: Path) -> None:
    (tmp_path / "counter_1.db").write_bytes(b"of an earlier run")
    figures.empty(tmp_path)
    assert list(tmp_path.iterdir()) == []

    def begin(count: int, how: str) -> Any:
        return subprocess.Popen(
            [sys.executable, "-c", WORKER, str(count), how],
            cwd=ROOT,
            env={**os.environ, "PROMETHEUS_MULTIPROC_DIR": str(tmp_path)},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    lives, killed, asked = begin(2, "lives"), begin(3, "killed"), begin(4, "asked")
    for each in (lives, killed, asked):
        assert each.stdout.readline() == "ready\n"
    killed.communicate()
    found = read(asked.communicate()[0])
    assert found["toneledger_mails_total", "sent"] == 9
    assert found["toneledger_streams_opened_total",] == 3
    assert found["toneledger_streams",] == 1
    lives.communicate()
