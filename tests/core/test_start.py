"""`manage.py start` as somebody runs it: in a process, on a database of its own, up to the first
production. Run with DATABASE_URL, the database is PostgreSQL's."""

from __future__ import annotations

import http.cookiejar
import os
import pty
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.core.test_qr import seen
from tests.support.loaded import ROOT
from tests.support.own_process import own_database
from tests.support.patience import PATIENCE_S
from tests.support.squares import squares_in

FIRST = ["--name", "Tilda Marnock", "--email", "tilda@marnock.example"]
PASSWORD = "a-long-stretch-of-cable"
# All of 127.0.0.0/8 is this machine (RFC 1122, 3.2.1.3), as an address in its network would be.
IN_THE_ROOM = "127.0.0.2"
SET_UP = re.compile(r"^  (https?://\S+/set-up/\S+/)$", re.M)


@pytest.fixture
def place(db: None, tmp_path: Path) -> Iterator[dict[str, str]]:
    """The environment of a server whose database is empty."""
    with own_database(tmp_path) as environment:
        clean = {k: v for k, v in environment.items() if not k.startswith("TONELEDGER_FIRST")}
        yield {
            **clean,
            "DJANGO_SETTINGS_MODULE": "core.settings",
            "TONELEDGER_MODE": "local",
            "TONELEDGER_DATA": str(tmp_path),
        }


@pytest.fixture
def migrated(place: dict[str, str]) -> dict[str, str]:
    assert manage(place, "migrate", "-v0").returncode == 0
    return place


def manage(place: dict[str, str], *words: str, **more: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        env=place,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        **{"stdin": subprocess.DEVNULL, **more},
    )


def prepared(place: dict[str, str], *words: str, **more: Any) -> str:
    done = manage(place, "start", "--empty", "--no-serve", *words, **more)
    assert done.returncode == 0, done.stderr
    return done.stdout


def link_in(said: str) -> str:
    found = SET_UP.findall(said)
    assert len(found) == 1, said
    return str(found[0])


def code_in(said: str) -> list[str]:
    lines = [line for line in said.splitlines() if line and set(line) <= set("█▀▄ ")]
    return squares_in(seen(lines))


@contextmanager
def served(place: dict[str, str], *words: str) -> Iterator[tuple[int, str]]:
    """The port, and what was said before serving."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = Path(place["TONELEDGER_DATA"]) / "said"
    with log.open("w") as out:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "start", "--bind", f"127.0.0.1:{port}", *words],
            env={**place, "PYTHONUNBUFFERED": "1"},
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=subprocess.STDOUT,
        )
    try:
        end = time.monotonic() + 120
        while not answers(port):
            assert process.poll() is None, log.read_text()
            assert time.monotonic() < end, log.read_text()
            time.sleep(0.2)
        yield port, log.read_text()
    finally:
        process.terminate()
        process.wait(PATIENCE_S)


def answers(port: int) -> bool:
    try:
        url = f"http://127.0.0.1:{port}/sw.js"
        with urllib.request.urlopen(url, timeout=PATIENCE_S) as answer:
            return answer.status == 200
    except OSError:
        return False


class Phone:
    """A browser without scripts: cookies, forms, and the origin that browsers send."""

    def __init__(self) -> None:
        jar = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        self.opener = urllib.request.build_opener(jar)

    def open(self, url: str, **fields: Any) -> tuple[int, str, str]:
        """Status, address in the end, page; fields are posted with the page's token."""
        data, headers = None, {}
        if fields:
            token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', self.open(url)[2])
            assert token
            data = urllib.parse.urlencode(
                {"csrfmiddlewaretoken": token[1], **fields}, True
            ).encode()
            headers = {"Origin": "{0.scheme}://{0.netloc}".format(urllib.parse.urlsplit(url))}
        try:
            asked = urllib.request.Request(url, data, headers)  # noqa: S310
            with self.opener.open(asked, timeout=PATIENCE_S) as answer:
                return answer.status, answer.url, answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, error.url or "", error.read().decode()


def test_from_nothing_to_a_production_on_a_phone_in_the_room(place: dict[str, str]) -> None:
    with served(place, "--empty", "--lan", IN_THE_ROOM, *FIRST) as (port, said):
        base, link = f"http://{IN_THE_ROOM}:{port}", link_in(said)
        assert link.startswith(base)
        assert f"\n  {base}/\n" in said
        assert "This is without HTTPS" in said
        first, second = said.split("Phones in the same network")
        assert code_in(first) == [link]
        assert code_in(second) == [f"{base}/"]
        phone = Phone()
        status, _, page = phone.open(link)
        assert (status, "Welcome, Tilda Marnock" in page) == (200, True)
        _, arrived, page = phone.open(
            link, password=PASSWORD, name="Low Ferry", roles=["engineer", "tech"]
        )
        assert re.fullmatch(rf"{base}/p/[\w-]+/", arrived), page
        assert "<h1>Low Ferry</h1>" in page
        assert "Tilda Marnock" in page
        # Spent: whoever finds it opens nothing.
        assert Phone().open(link)[0] == 404
        other = Phone()
        other.open(f"{base}/login/", username="tilda@marnock.example", password=PASSWORD)
        assert "Low Ferry" in other.open(f"{base}/")[2]
        # Another name of this machine that nobody allowed.
        status, _, page = Phone().open(f"http://127.0.0.3:{port}/")
        assert status == 400
        assert "“127.0.0.3”" in page
        assert "TONELEDGER_HOSTS" in page
    assert "There are accounts on this server" in prepared(place)


def test_made_again_it_closes_the_one_before(place: dict[str, str]) -> None:
    old = link_in(prepared(place, *FIRST))
    new = link_in(prepared(place))
    other = link_in(manage(place, "first_person", "--address", "https://a.example/").stdout)
    assert other.startswith("https://a.example/set-up/")
    assert len({old, new, other}) == 3
    with served(place, "--empty") as (port, said):
        newest = urllib.parse.urlsplit(link_in(said)).path
        paths = [urllib.parse.urlsplit(link).path for link in (old, new, other)]
        found = [Phone().open(f"http://127.0.0.1:{port}{p}")[0] for p in [*paths, newest]]
        assert found == [404, 404, 404, 200]


def test_the_environment_names_the_first_person(migrated: dict[str, str]) -> None:
    named = {"TONELEDGER_FIRST_NAME": FIRST[1], "TONELEDGER_FIRST_EMAIL": FIRST[3]}
    said = manage({**migrated, **named}, "first_person").stdout
    assert "Tilda Marnock, open this link" in said
    assert code_in(said) == [link_in(said)]


def test_somebody_at_the_terminal_is_asked_until_it_will_do(migrated: dict[str, str]) -> None:
    ours, theirs = pty.openpty()
    os.write(ours, b"Tilda Marnock\nno address\nTilda Marnock\ntilda@marnock.example\n")
    said = manage(migrated, "first_person", stdin=theirs).stdout
    os.close(ours)
    os.close(theirs)
    assert "Who is the first person?" in said
    assert "E-mail: Enter a valid email address." in said
    assert "Tilda Marnock, open this link" in said
    assert link_in(said)


def test_where_nobody_can_be_asked_it_says_how(place: dict[str, str]) -> None:
    said = prepared(place)
    assert "TONELEDGER_FIRST_EMAIL" in said
    assert not SET_UP.findall(said)
    refused = manage(place, "first_person")
    assert refused.returncode == 1
    assert "python manage.py first_person --name" in refused.stderr


def test_an_address_that_will_not_do_is_said(migrated: dict[str, str]) -> None:
    done = manage(migrated, "first_person", "--name", "T", "--email", "nobody")
    assert done.returncode == 1
    assert done.stderr.strip() == "CommandError: E-mail: Enter a valid email address."


@pytest.mark.parametrize(
    ("words", "more", "wrong"),
    [
        (["--lan", "http://10.0.0.5:8000"], {}, "--lan takes an address of this machine alone"),
        (
            ["--lan", "10.0.0.5"],
            {"TONELEDGER_MODE": "production", "TONELEDGER_SECRET_KEY": "k" * 50},
            "production mode insists on it",
        ),
    ],
)
def test_the_room_is_refused_with_words(
    place: dict[str, str], words: list[str], more: dict[str, str], wrong: str
) -> None:
    done = manage({**place, **more}, "start", "--empty", "--no-serve", *words)
    assert done.returncode == 1
    assert wrong in done.stderr
