"""The service in a process of its own, on a database of its own, to be stopped and killed.

python -m tests.support.server_process <port>

Waits before what a request did is committed while a file “hold-commit” lies in TONELEDGER_DATA, and
before the answer leaves while “hold-answer” lies there, so that it can be killed at that moment.
Pages of productions wait while “hold-pages” lies there. While “refuse-posts” lies there, whatever
is sent is answered as a proxy does whose server is gone. What is in “worker-begins-with” is put
before the service worker: another release, or a browser that lacks something. What is in
“first-script” runs first on every page. The server's clock is ahead by the seconds in
“clock-ahead”.
"""

from __future__ import annotations

import contextlib
import os
import socket
import sys
import time
import urllib.request
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from tests.support.loaded import Process, begin
from tests.support.patience import PATIENCE_S
from tests.support.running import run, sqlite_environment

HOLD_COMMIT, HOLD_ANSWER, HOLD_PAGES = "hold-commit", "hold-answer", "hold-pages"
REFUSE_POSTS, WORKER_BEGINS = "refuse-posts", "worker-begins-with"
FIRST_SCRIPT = "first-script"
CLOCK_AHEAD = "clock-ahead"
HELD = "held"


def _hold(folder: Path, name: str) -> None:
    while (folder / name).exists():
        (folder / HELD).touch()
        time.sleep(0.02)


def with_first_script(service: Any, environ: Any, start: Any, script: Path) -> Any:
    """What `service` answers; pages with the script of that file before everything else."""
    if environ["PATH_INFO"] == f"/{FIRST_SCRIPT}.js":
        start("200 OK", [("Content-Type", "text/javascript")])
        return [script.read_bytes()]
    environ.pop("HTTP_ACCEPT_ENCODING", None)  # packed, nothing could be put into it
    begun: list[Any] = []
    answer = service(environ, lambda *said: begun.append(said))
    status, headers, *more = begun[0]
    if not any(n.lower() == "content-type" and "text/html" in value for n, value in headers):
        start(status, headers, *more)
        return answer
    body = b"".join(answer)
    answer.close()
    first = f'<head><script src="/{FIRST_SCRIPT}.js"></script>'.encode()
    start(status, [(n, v) for n, v in headers if n.lower() != "content-length"], *more)
    return [body.replace(b"<head>", first, 1)]


def main(port: int) -> None:
    import django

    django.setup()
    from django.contrib.staticfiles.handlers import StaticFilesHandler
    from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
    from django.core.wsgi import get_wsgi_application

    from core import clock
    from core.models import DoneRequest

    folder = Path(os.environ["TONELEDGER_DATA"])
    real, ahead = clock.timezone.now, folder / CLOCK_AHEAD  # type: ignore[attr-defined]
    later = timedelta(seconds=int(ahead.read_text()) if ahead.exists() else 0)
    clock.timezone = SimpleNamespace(now=lambda: real() + later)  # type: ignore[assignment,attr-defined]
    save = DoneRequest.save

    def held_save(self: DoneRequest, *args: Any, **more: Any) -> None:
        save(self, *args, **more)
        if "update_fields" in more:  # the claim is completed: all that is left is to commit
            _hold(folder, HOLD_COMMIT)

    DoneRequest.save = held_save  # type: ignore[method-assign, assignment]
    service = StaticFilesHandler(get_wsgi_application())

    def held_service(environ: Any, start: Any) -> Any:
        if environ["REQUEST_METHOD"] == "POST" and (folder / REFUSE_POSTS).exists():
            start("503 Service Unavailable", [("Content-Type", "text/plain")])
            return [b"gone"]
        if environ["PATH_INFO"] == "/sw.js" and (folder / WORKER_BEGINS).exists():
            said = (folder / WORKER_BEGINS).read_bytes()
            environ.pop("HTTP_ACCEPT_ENCODING", None)  # packed, nothing could be put before it
            return [
                said,
                *service(
                    environ,
                    lambda status, headers, *more: start(
                        status, [(n, v) for n, v in headers if n.lower() != "content-length"], *more
                    ),
                ),
            ]
        script = folder / FIRST_SCRIPT
        if script.exists():
            answer = with_first_script(service, environ, start, script)
        else:
            answer = service(environ, start)
        if environ["REQUEST_METHOD"] == "POST" and "HTTP_IDEMPOTENCY_KEY" in environ:
            _hold(folder, HOLD_ANSWER)
        if environ["PATH_INFO"].startswith("/p/"):
            _hold(folder, HOLD_PAGES)
        return answer

    # A browser that opens many connections at once is not turned away on a busy machine.
    ThreadedWSGIServer.request_queue_size = 128
    server = ThreadedWSGIServer(("127.0.0.1", port), WSGIRequestHandler)
    server.set_app(held_service)
    server.serve_forever()


class Server:
    """The process, seen from a test. `folder` holds its database and files."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.process = folder, None
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"

    process: Process | None

    @property
    def environment(self) -> dict[str, str]:
        return sqlite_environment(self.folder)

    def run(self, code: str) -> Any:
        """What `code` prints last, as JSON, run on the server's database."""
        return run(code, self.environment)

    def start(self) -> None:
        log = (self.folder / "log").open("ab")
        said = ["tests.support.server_process", str(self.port)]
        self.process = begin(self.environment, log, log, module=said)
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            with contextlib.suppress(OSError):
                urllib.request.urlopen(f"{self.url}/offline/who/", timeout=5).read()  # noqa: S310
                return
            time.sleep(0.1)
        raise AssertionError((self.folder / "log").read_text())

    def stop(self) -> None:
        """Kill the process at once, in the middle of whatever it is doing."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None

    def hold(self, name: str) -> None:
        # What an earlier request left would let the next wait end at once.
        (self.folder / HELD).unlink(missing_ok=True)
        (self.folder / name).touch()

    def wait_until_held(self) -> None:
        until = time.monotonic() + PATIENCE_S
        while not (self.folder / HELD).exists():
            assert time.monotonic() < until, "no request came that far"
            time.sleep(0.02)

    def let_go(self) -> None:
        for name in (HOLD_COMMIT, HOLD_ANSWER, HOLD_PAGES, REFUSE_POSTS):
            (self.folder / name).unlink(missing_ok=True)


if __name__ == "__main__":
    main(int(sys.argv[1]))
