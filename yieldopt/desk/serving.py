"""The desk's server on this machine, and the browser opened on it, until it is told to stop."""

from __future__ import annotations

import webbrowser
from pathlib import Path

from yieldopt.desk.app import Desk, make_desk
from yieldopt.desk.key import Keys
from yieldopt.desk.planner import Planner
from yieldopt.web.server import configured, listening_at, run


def serve(folder: Path, port: int, browser: bool) -> None:
    """Serve the job's folder on loopback until SIGTERM or Ctrl-C; a search under way then ends with its best plan written.

    Raises `UsageError` where the port is taken.
    """
    socket = listening_at("127.0.0.1", port)
    at = f"http://localhost:{socket.getsockname()[1]}/"
    keys, planner = Keys(), Planner(folder)

    def address() -> None:
        print(f"The desk is at {at}#key={keys.key}", flush=True)

    app = make_desk(Desk(folder, keys, planner, address))
    address()
    if browser:
        webbrowser.open(f"{at}#key={keys.key}")
    try:
        run(configured(app, socket), socket)
    finally:
        planner.close()
    print("stopped", flush=True)
