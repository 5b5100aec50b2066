"""Starting the desk: a free port on the loopback address, a key, the server, and the browser."""

from __future__ import annotations

import secrets
import socket
import threading
import time
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from cutprep.desk.app import Desk
from cutprep.desk.guard import KEY, Guard
from cutprep.desk.shelf import Shelf
from cutprep.errors import OutputError
from cutprep.profile.shelf import data_folder

HOST = "127.0.0.1"
#: What one request may bring: some drawings of the largest size that is read (docs/SAFETY.md).
MOST_BYTES = 200_000_000


def desk_folder() -> Path:
    """Where jobs are kept when no folder is named."""
    return data_folder() / "desk"


def serve(folder: Path, *, port: int, browser: bool, say: Callable[[str], None]) -> None:
    """Serve the desk until it is stopped.

    Parameters
    ----------
    folder
        Of the jobs.
    port
        0 for a free one.
    browser
        Open the page there.
    say
        Told the address.

    Raises
    ------
    OutputError
        When the folder can't be used, or the port is taken.
    """
    shelf = Shelf(folder)
    listening = _listen(port)
    port = listening.getsockname()[1]
    key = secrets.token_urlsafe(32)
    address = f"http://{HOST}:{port}/?{KEY}={key}"
    config = uvicorn.Config(
        Guard(Desk(shelf).app(), key=key, port=port, most_bytes=MOST_BYTES),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=2,
    )
    server = uvicorn.Server(config)
    say(f"The desk is open at {address}")
    say("Ctrl-C closes it.")
    if browser:
        threading.Thread(target=_open_when_there, args=(server, address), daemon=True).start()
    server.run(sockets=[listening])


def _listen(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except (OSError, OverflowError) as fault:
        listening.close()
        why = getattr(fault, "strerror", None) or str(fault)
        raise OutputError(
            f"nothing can be served at port {port} ({why})", fix="Leave --port out: a free one is found."
        ) from None
    return listening


def _open_when_there(server: uvicorn.Server, address: str) -> None:
    while not server.started:
        time.sleep(0.02)
    webbrowser.open(address)
