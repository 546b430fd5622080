"""A server that is killed again and again, and is there again at once.

A process that has loaded the service forks the one which serves.

python -m tests.support.killed_server <port>

Prints the number of each process that serves, as it begins.
"""

from __future__ import annotations

import os
import signal
import sys


def main(port: int) -> None:
    import django

    django.setup()
    from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
    from django.core.wsgi import get_wsgi_application
    from django.urls import get_resolver

    service = get_wsgi_application()
    # All addresses and what they import, before the fork: nothing of it opens the database.
    assert get_resolver().url_patterns

    class Quiet(WSGIRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    serving = 0

    def end(*_: object) -> None:
        if serving:
            os.kill(serving, signal.SIGKILL)
        sys.exit()

    signal.signal(signal.SIGTERM, end)
    while True:
        serving = os.fork()
        if not serving:
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            server = ThreadedWSGIServer(("127.0.0.1", port), Quiet)
            server.set_app(service)
            print(os.getpid(), flush=True)  # noqa: T201 - the parent reads this
            server.serve_forever()
        os.waitpid(serving, 0)


if __name__ == "__main__":
    main(int(sys.argv[1]))
