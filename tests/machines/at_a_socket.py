"""A simulated machine behind a socket of the loopback address, on the real clock, which may run faster."""

from __future__ import annotations

import select
import socket
import threading
import time
from typing import Any


class AtASocket:
    """Serves one caller after the other in a thread.

    Parameters
    ----------
    machine
        A `Controller` or a `Plotter`.
    faster
        So many seconds of the machine pass in one of ours.
    """

    def __init__(self, machine: Any, *, faster: float = 1.0) -> None:
        self.machine, self._faster = machine, faster
        self._server = socket.create_server(("127.0.0.1", 0))
        self.port = f"127.0.0.1:{self._server.getsockname()[1]}"
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        caller: socket.socket | None = None
        before = time.monotonic()
        while not self._over.is_set():
            ready, _, _ = select.select([caller or self._server], [], [], 0.005)
            now = time.monotonic()
            answer = self.machine.advance(self._faster * (now - before))
            before = now
            if caller is None:
                if ready:
                    caller, _ = self._server.accept()
                continue
            try:
                data = caller.recv(4096) if ready else None
                if answer:
                    caller.sendall(answer)
            except OSError:
                data = b""
            if data == b"":
                caller.close()
                caller = None
            elif data:
                self.machine.receive(data)
        if caller is not None:
            caller.close()
        self._server.close()

    def close(self) -> None:
        self._over.set()
        self._thread.join(5)
