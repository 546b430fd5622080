"""Figures of what the service does, in the open metrics text format (OpenMetrics 1.0), for programs
that collect them. Off unless `TONELEDGER_METRICS_TOKEN` is set.

No figure names a person, a production or an address: a label holds the pattern of an address, a
method, a status or how something ended, each from a short list, so that there are never many.

Several worker processes: each writes its figures into files of its own in
`settings.METRICS_DIR`, and whichever is asked adds them up (the way of the library for this).
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.http import HttpRequest
from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, Summary
from prometheus_client.multiprocess import MultiProcessCollector, mark_process_dead
from prometheus_client.openmetrics.exposition import CONTENT_TYPE_LATEST, generate_latest

CONTENT_TYPE = CONTENT_TYPE_LATEST
SECONDS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
# RFC 9110, section 9, and RFC 5789. Anybody may send a method of their own: “other”.
METHODS = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT"}
NO_ROUTE = "(no such page)"
_LIVE = re.compile(r"gauge_live\w+_(\d+)\.db")
_own = CollectorRegistry()

_requests = Counter(
    "toneledger_requests",
    "Requests answered.",
    ["method", "route", "status"],
    registry=_own,
)
_seconds = Histogram(
    "toneledger_request_seconds",
    "From taking a request up to the beginning of its answer.",
    registry=_own,
    buckets=SECONDS,
)
_queued = Histogram(
    "toneledger_queue_seconds",
    "How long requests waited for a thread.",
    registry=_own,
    buckets=SECONDS,
)
_busy = Gauge(
    "toneledger_requests_in_progress",
    "Requests that are being answered.",
    registry=_own,
    multiprocess_mode="livesum",
)
_queries = Counter("toneledger_queries", "Queries of requests.", registry=_own)
_query_seconds = Counter(
    "toneledger_query_seconds", "Time that queries of requests took.", registry=_own
)
_streams = Gauge(
    "toneledger_streams",
    "Pages that are open and told what changes.",
    registry=_own,
    multiprocess_mode="livesum",
)
_streams_opened = Counter("toneledger_streams_opened", "Streams begun.", registry=_own)
_decoder = Summary(
    "toneledger_decoder_seconds",
    "Sounds read, by how it ended: done, refused, too_long or died.",
    ["ended"],
    registry=_own,
)
_mails = Counter(
    "toneledger_mails", "Mails, by how it ended: sent or failed.", ["ended"], registry=_own
)
_log_ins_failed = Counter(
    "toneledger_log_ins_failed",
    "Log-ins refused: by password, code, passkey, api_key, or because one is locked out.",
    ["by"],
    registry=_own,
)


def exposition() -> bytes:
    """All figures of all processes, as text of the format."""
    folder = os.environ.get("PROMETHEUS_MULTIPROC_DIR")
    registry = _own
    if folder:
        _forget_the_dead(Path(folder))
        registry = CollectorRegistry()
        MultiProcessCollector(registry)
    text: bytes = generate_latest(registry)
    return text


def _forget_the_dead(folder: Path) -> None:
    """What processes that were killed had open is not open any more. What they counted stays."""
    for file in folder.glob("gauge_live*.db"):
        found = _LIVE.fullmatch(file.name)
        if found and not _lives(int(found[1])):
            mark_process_dead(int(found[1]))


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:  # somebody else's: it lives
        return True
    return True


def empty(folder: Path) -> None:
    """Begin anew: for whoever starts the service, before its processes begin."""
    folder.mkdir(parents=True, exist_ok=True)
    for file in folder.glob("*.db"):
        with contextlib.suppress(FileNotFoundError):
            file.unlink()


@contextmanager
def request_in_progress() -> Iterator[None]:
    with _busy.track_inprogress():
        yield


def request_answered(
    request: HttpRequest, route: str, status: int, seconds: float, queries: int, queried_s: float
) -> None:
    method = request.method if request.method in METHODS else "other"
    _requests.labels(method or "other", route or NO_ROUTE, str(status)).inc()
    _seconds.observe(seconds)
    _queries.inc(queries)
    _query_seconds.inc(queried_s)


def request_queued(seconds: float) -> None:
    _queued.observe(max(0.0, seconds))


@contextmanager
def stream_open() -> Iterator[None]:
    _streams_opened.inc()
    with _streams.track_inprogress():
        yield


def decoder_ran(ended: str, seconds: float) -> None:
    _decoder.labels(ended).observe(seconds)


def mails_ended(ended: str, count: int) -> None:
    _mails.labels(ended).inc(count)


def log_in_failed(by: str) -> None:
    _log_ins_failed.labels(by).inc()
