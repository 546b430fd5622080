"""Work on what somebody sent in a process of its own, which is ended when it takes too long.

A decoder that hangs or dies takes that process with it, and not the server. One is kept between two
jobs, because starting it costs as much as hearing a minute of sound. No Django in it.
"""

from __future__ import annotations

import atexit
import math
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from traceback import format_exc
from typing import Any, TypeVar

T = TypeVar("T")

GRACE_S = 5.0  # for what looks at the clock by itself, to say it in its own words


class TookTooLong(Exception):
    """The job was ended: no answer within its time."""


class Died(Exception):
    """The process died of the job."""


class Worker:
    """A process that does jobs, and the connection to it."""

    def __init__(self) -> None:
        self._line, theirs = Pipe()
        # Our copy of the other end is closed at once, or the end of that process would never show.
        with theirs:
            # Apart from the terminal: what interrupts the server reaches it by the line's end.
            self._process = subprocess.Popen(  # noqa: S603 (our own module)
                [sys.executable, "-m", "core.uploads.apart", str(theirs.fileno())],
                pass_fds=[theirs.fileno()],
                stdin=subprocess.DEVNULL,
                start_new_session=True,
                env=os.environ
                # One thread: several jobs may run at once, and a server has few processors.
                | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path)), "OMP_NUM_THREADS": "1"},
            )
        self._line.recv()  # it is ready: its start does not count

    def ask(self, job: Any, seconds: float) -> tuple[bool, Any]:
        """Whether it was done, and the result or the error. Raises TookTooLong where no answer
        comes, EOFError or OSError where the process has ended."""
        self._line.send((seconds, job))
        if not self._line.poll(seconds):
            raise TookTooLong
        done, answer = self._line.recv()
        return done, answer

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        self._line.close()


_idle: list[Worker] = []


def run(function: Callable[..., T], *args: Any, seconds: float, **more: Any) -> T:
    """What `function` gives, or the error that it raises. All of it must be fit for pickling.

    Raises TookTooLong after `seconds` and some, Died where the process dies of it.
    """
    try:
        # list.pop is atomic: two threads never get the same process, and wait for none.
        worker = _idle.pop()
    except IndexError:
        worker = Worker()
    try:
        done, answer = worker.ask((function, args, more), seconds + GRACE_S)
    except (EOFError, OSError):
        worker.end()
        raise Died from None
    # A late answer must not be taken for the answer to the next job, so the process goes.
    except BaseException:
        worker.end()
        raise
    # One is enough to keep; each holds the memory of a decoder.
    if _idle:
        worker.end()
    else:
        _idle.append(worker)
    if done:
        return answer  # type: ignore[no-any-return]
    raise answer


def _end_idle() -> None:
    while _idle:
        _idle.pop().end()


atexit.register(_end_idle)
os.register_at_fork(after_in_child=_idle.clear)  # a forked server starts its own


def _serve(line: Connection) -> None:
    """The other end: one job after the other, until the line ends."""
    line.send("ready")
    while True:
        try:
            seconds, (function, args, more) = line.recv()
        except EOFError:
            return
        signal.alarm(math.ceil(seconds) + 1)  # ends it even if the server is gone by then
        try:
            answer = True, function(*args, **more)
        except Exception as error:
            # The traceback does not come through the pipe; notes do.
            error.add_note(format_exc())
            answer = False, error
        signal.alarm(0)
        line.send(answer)


if __name__ == "__main__":
    _serve(Connection(int(sys.argv[1])))
