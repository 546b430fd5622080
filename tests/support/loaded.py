"""Processes that have the program loaded as they begin: forked from one that waits with it.

Loading it takes two seconds of a processor, and a run of the tests begins hundreds of processes.

python -m tests.support.loaded <socket>

Answers each connection to the Unix socket with a process that does what was asked there.
"""

from __future__ import annotations

import atexit
import contextlib
import gc
import importlib
import json
import os
import runpy
import select
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import IO, Any

from tests.support.patience import PATIENCE_S

ROOT = Path(__file__).resolve().parents[2]
# What can be told anew, since nothing that is loaded hangs on it: where the data lie, and for whom.
TOLD = ("TONELEDGER_DATA", "DATABASE_URL", "PYTEST_CURRENT_TEST")


class Process:
    """One of them, seen from whoever asked for it."""

    def __init__(self, channel: socket.socket) -> None:
        self._channel = channel
        self.pid = int(channel.recv(20))

    def wait(self) -> int:
        """Until it has ended: what it exited with, or −9 if it was killed."""
        said = self._channel.recv(20)  # nothing once nobody has the other end
        while self._channel.recv(20):
            pass
        self._channel.close()
        return int(said) if said else -signal.SIGKILL

    def kill(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)


def begin(
    environment: dict[str, str],
    out: IO[Any],
    err: IO[Any],
    *,
    code: str = "",
    module: Sequence[str] = (),
) -> Process:
    """A process that runs `code`, or `module` (its name and arguments), on that environment."""
    fixed = {name: value for name, value in environment.items() if name not in TOLD}
    told = {name: environment[name] for name in TOLD if name in environment}
    channel = socket.socket(socket.AF_UNIX)
    channel.connect(_waiting(json.dumps(fixed, sort_keys=True)))
    asked = json.dumps({"told": told, "code": code, "module": list(module)}).encode()
    socket.send_fds(channel, [len(asked).to_bytes(4)], [out.fileno(), err.fileno()])
    channel.sendall(asked)
    return Process(channel)


@cache
def _waiting(fixed: str) -> str:
    """The socket of a process that waits, loaded with that environment."""
    folder = Path(tempfile.mkdtemp(prefix="toneledger-loaded-"))
    place = str(folder / "socket")
    environment = {**json.loads(fixed), "TONELEDGER_DATA": str(folder)}
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.support.loaded", place],
        env=environment,
        cwd=ROOT,
        stdin=subprocess.PIPE,  # it ends when nobody holds the other end
    )
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    atexit.register(process.kill)
    until = time.monotonic() + PATIENCE_S
    while not Path(place).exists():
        assert process.poll() is None, "it did not load"
        assert time.monotonic() < until, "it loads for too long"
        time.sleep(0.02)
    return place


def _load() -> None:
    import django

    django.setup()
    from django.core.handlers.wsgi import WSGIHandler
    from django.urls import get_resolver

    # All addresses and what they import; nothing of it opens the database.
    assert get_resolver().url_patterns
    WSGIHandler()


def _move(told: dict[str, str]) -> None:
    """To other data: what the settings say there."""
    from django.conf import settings
    from django.db import connections
    from django.test.signals import setting_changed

    from core.proof import writes

    for name in TOLD:
        os.environ.pop(name, None)
    os.environ.update(told)
    importlib.reload(sys.modules["core.settings"])
    module = importlib.reload(sys.modules[os.environ["DJANGO_SETTINGS_MODULE"]])
    for name in filter(str.isupper, dir(module)):
        value = getattr(module, name)
        if getattr(settings, name) != value:
            setattr(settings, name, value)
            setting_changed.send(sender=None, setting=name, value=value, enter=True)
    connections.__dict__.pop("settings", None)  # read from DATABASES again when next wanted
    connections.settings = connections.configure_settings(settings.DATABASES)
    for alias in connections:
        with contextlib.suppress(AttributeError):
            del connections[alias]
    writes.connect()  # the log hears the kind of database that it was told of while loading


def _become(channel: socket.socket) -> None:
    """Do what is asked there, in this process, and say what it ended with."""
    size, given, *_ = socket.recv_fds(channel, 4, 2)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for number, handle in enumerate((nothing, *given)):
        os.dup2(handle, number)
        os.close(handle)
    with channel.makefile("rb") as stream:
        asked = json.loads(stream.read(int.from_bytes(size)))
    channel.send(str(os.getpid()).encode())
    ended = 1
    try:
        _move(asked["told"])
        _do(asked)
        ended = 0
    except SystemExit as end:
        ended = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        sys.excepthook(*sys.exc_info())
    # As an interpreter does at its end: pools of threads are told, and others waited for.
    threading._shutdown()  # type: ignore[attr-defined]
    atexit._run_exitfuncs()
    sys.stdout.flush()
    sys.stderr.flush()
    channel.send(str(ended).encode())
    # At once: taking apart what was loaded would take as long as loading it. And the channel is
    # closed by the system alone, when nothing of this process is left.
    os._exit(ended)


def _do(asked: dict[str, Any]) -> None:
    if asked["code"]:
        exec(compile(asked["code"], "<code>", "exec"), {"__name__": "__main__"})  # noqa: S102
        return
    name, *sys.argv[1:] = asked["module"]
    runpy.run_module(name, run_name="__main__", alter_sys=True)


def main(place: str) -> None:
    _load()
    gc.freeze()  # what is loaded is not searched again in each of them
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody asks for them here
    listening = socket.socket(socket.AF_UNIX)
    listening.bind(f"{place}.new")
    listening.listen(32)
    os.rename(f"{place}.new", place)  # there once it answers
    while True:
        if sys.stdin in select.select([listening, sys.stdin], [], [])[0]:
            return
        channel, _ = listening.accept()
        if os.fork():
            channel.close()
            continue
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        listening.close()
        _become(channel)


if __name__ == "__main__":
    main(sys.argv[1])
