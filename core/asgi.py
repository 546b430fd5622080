"""ASGI entry point: streams of events run in the event loop, pages in threads as under WSGI.

Pages are written for threads: they keep their database connection from one request to the next, and
files go out in pieces. Run inside the event loop they would lose both.
"""

from __future__ import annotations

import os
import time
from typing import Any

import django
from a2wsgi import WSGIMiddleware
from django.core.wsgi import get_wsgi_application

from core.operation.serving import arrived, keep_loaded, share_figures

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "core.settings")
share_figures()
django.setup()
from core.live.hub import hub  # noqa: E402 - of the program that is loaded by now
from core.live.opening import Streams  # noqa: E402

streams = Streams()
_wsgi: Any = get_wsgi_application()
keep_loaded()
# Each thread keeps a database connection of its own, so this bounds those of pages, too.
pages = WSGIMiddleware(_wsgi, workers=int(os.environ.get("TONELEDGER_THREADS", 8)))


async def application(scope: Any, receive: Any, send: Any) -> None:
    if scope["type"] == "lifespan":
        await _lifespan(receive, send)
    if scope["type"] == "http":
        arrived.set(time.perf_counter())  # threads take over the context of the request
        chosen: Any = streams if scope["path"].endswith("/live/") else pages
        await chosen(scope, receive, send)


async def _lifespan(receive: Any, send: Any) -> None:
    """The server begins and ends, as the ASGI specification, “Lifespan protocol”, tells it."""
    await receive()
    # Not with the first stream: a page that another process sent away may ask here while this one
    # is being told to stop, and its stream would hear nothing of that.
    hub.end_when_told_to_stop()
    await send({"type": "lifespan.startup.complete"})
    await receive()
    await send({"type": "lifespan.shutdown.complete"})
