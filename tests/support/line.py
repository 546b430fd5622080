"""A TCP proxy between browser and server that counts bytes sent up, and can cut or hold them."""

from __future__ import annotations

import contextlib
import socket
import struct
import threading

_CHUNK = 16 * 1024


class Line:
    """Listens on a port of its own and passes everything on to `port`."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self._listening.getsockname()[1]}"
        self.up = 0  # bytes that went up
        self.reached = threading.Event()  # as much as `cut_after` or `hold_after` said
        self._limit: int | None = None
        self._cuts = False
        self._open: set[socket.socket] = set()
        self._change = threading.Lock()
        self._flows = threading.Event()
        self._flows.set()
        threading.Thread(target=self._accept, daemon=True).start()

    def cut_after(self, count: int) -> None:
        """After so many more bytes all connections break, and new ones are not answered."""
        self._set(count, cuts=True)

    def hold_after(self, count: int) -> None:
        """After so many more bytes nothing goes on, and nothing breaks."""
        self._set(count, cuts=False)

    def restore(self) -> None:
        with self._change:
            self._limit = None
            self.reached.clear()
            self._flows.set()

    def wait_until_reached(self) -> None:
        assert self.reached.wait(60), f"only {self.up} bytes went up"

    def close(self) -> None:
        self.restore()
        self._listening.close()
        self._break_all()

    def _set(self, count: int, *, cuts: bool) -> None:
        with self._change:
            self._limit, self._cuts = self.up + count, cuts

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            threading.Thread(target=self._serve, args=[near], daemon=True).start()

    def _serve(self, near: socket.socket) -> None:
        if self.reached.is_set() and self._cuts:
            return _break(near)
        try:
            far = socket.create_connection(("127.0.0.1", self._to), timeout=5)
        except OSError:  # the server is gone
            return _break(near)
        # The limit is for connecting; a held line may say nothing for long.
        far.settimeout(None)
        with self._change:
            # Under the lock, because `_break_all` puts another set in its place.
            self._open |= {near, far}
        down = threading.Thread(target=self._pass, args=[far, near, False], daemon=True)
        down.start()
        self._pass(near, far, True)
        # Both ways: the server may still answer when the browser has sent all.
        down.join()
        with self._change:
            self._open -= {near, far}
        near.close()
        far.close()
        return None

    def _pass(self, source: socket.socket, target: socket.socket, goes_up: bool) -> None:
        with contextlib.suppress(OSError):
            while data := source.recv(_CHUNK):
                if goes_up and not self._counted(len(data)):
                    return
                self._flows.wait()
                target.sendall(data)
        with contextlib.suppress(OSError):
            target.shutdown(socket.SHUT_WR)

    def _counted(self, count: int) -> bool:
        """Count bytes that went up. False once the line is cut."""
        with self._change:
            self.up += count
            if self._limit is None or self.up < self._limit:
                return True
            if not self._cuts:
                self._flows.clear()
            self.reached.set()
        if self._cuts:
            self._break_all()
        return not self._cuts

    def _break_all(self) -> None:
        with self._change:
            broken, self._open = self._open, set()
        for each in broken:
            _break(each)


def _break(side: socket.socket) -> None:
    """Close a connection by a reset, as when the network is gone."""
    with contextlib.suppress(OSError):
        # Lingering for 0 seconds: close() sends RST in place of FIN.
        side.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        side.shutdown(socket.SHUT_RDWR)
    side.close()
