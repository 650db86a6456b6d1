"""The desk's server on this machine, and the browser opened on it, until it is told to stop."""

from __future__ import annotations

import webbrowser
from pathlib import Path

from yieldopt.desk.app import make_desk
from yieldopt.desk.key import Keys
from yieldopt.desk.setup import Desk
from yieldopt.desk.shelf import Shelf
from yieldopt.web.server import configured, listening_at, run


def serve(folder: Path | None, shelf: Shelf, port: int, browser: bool) -> None:
    """Serve the job's folder, or without one the jobs of the shelf to choose from, on loopback until SIGTERM or Ctrl-C; a search
    under way then ends with its best plan written.

    Raises `UsageError` where the port is taken.
    """
    socket = listening_at("127.0.0.1", port)
    at = f"http://localhost:{socket.getsockname()[1]}/"
    keys = Keys()

    def address() -> None:
        print(f"The desk is at {at}#key={keys.key}", flush=True)

    desk = Desk(keys, shelf, address)
    if folder is not None:
        desk.open(folder)
    desk.warm()
    app = make_desk(desk)
    address()
    if browser:
        webbrowser.open(f"{at}#key={keys.key}")
    try:
        run(configured(app, socket), socket)
    finally:
        desk.close()
    print("stopped", flush=True)
