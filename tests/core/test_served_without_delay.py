"""Small answers leave at once, however many workers serve.

A listening socket that workers inherit does not say that it speaks TCP, and the standard event loop
then leaves Nagle's algorithm on (RFC 896): each answer waits for a delayed acknowledgement, 40 ms
on Linux (RFC 1122, 4.2.3.2 allows 500 ms). uvloop turns it off on every connection.
"""

from __future__ import annotations

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.support.loaded import ROOT
from tests.support.patience import PATIENCE_S
from tests.support.prepared import prepare
from tests.support.running import sqlite_environment

REQUESTS = 200
DELAYED_ACKNOWLEDGEMENT_S = 0.04


@contextmanager
def served(folder: Path, workers: int) -> Iterator[int]:
    """The service as `start` runs it, at a port of its own."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "manage.py", "start", "--empty", "--bind", f"127.0.0.1:{port}"]
    environment = {**os.environ, **sqlite_environment(folder), "TONELEDGER_MODE": "local"}
    environment["DJANGO_SETTINGS_MODULE"] = "core.settings"
    process = subprocess.Popen(
        [*command, "--workers", str(workers)],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        _wait(port, process)
        yield port
    finally:
        process.terminate()
        process.wait(PATIENCE_S)


def _wait(port: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + 90
    while time.monotonic() < end and process.poll() is None:
        try:
            _ask(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S))
            return
        except OSError:
            time.sleep(0.2)
    pytest.fail("The server did not begin to answer.")


def _ask(connection: http.client.HTTPConnection) -> None:
    connection.request("GET", "/sw.js")
    answer = connection.getresponse()
    answer.read()
    assert answer.status == 200


def seconds_for(port: int) -> float:
    """For so many requests, one after the other, over one connection; the better of two tries."""
    taken = []
    for _ in range(2):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
        _ask(connection)
        started = time.monotonic()
        for _ in range(REQUESTS):
            _ask(connection)
        taken.append(time.monotonic() - started)
    return min(taken)


@pytest.mark.own_sqlite
def test_two_workers_answer_small_requests_as_soon_as_one(tmp_path: Path) -> None:
    prepare(tmp_path)
    with served(tmp_path, 1) as port:
        alone = seconds_for(port)
    with served(tmp_path, 2) as port:
        two = seconds_for(port)
    assert two - alone < REQUESTS * DELAYED_ACKNOWLEDGEMENT_S / 4, (
        f"{two:.2f} s beside {alone:.2f} s"
    )
