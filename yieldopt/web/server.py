"""The page's server on this machine or on the shop's network, until it is told to stop."""

from __future__ import annotations

import asyncio
import ipaddress
import signal
import socket
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from yieldopt.ground.errors import UsageError
from yieldopt.rack.door.facade import Rack
from yieldopt.web.app import Setup, make_app, phones_path
from yieldopt.web.bench import Bench
from yieldopt.web.certificate import certificate
from yieldopt.web.connections import Held, Listening, Loop
from yieldopt.web.jobs import Jobs
from yieldopt.web.phones import Phones
from yieldopt.web.searcher import Searcher

if TYPE_CHECKING:
    import uvicorn

STOP_SECONDS = 5


@dataclass(frozen=True)
class Wanted:
    """What the command line asked for."""

    rack: str
    host: str
    port: int
    jobs: Sequence[Path]
    plans: Sequence[Path]
    https: bool
    names: Sequence[str]
    pair: bool


def serve(wanted: Wanted) -> None:
    """Serve until SIGTERM or Ctrl-C; requests under way are answered first.

    Raises `UsageError` where the port is taken, or where the list of phones or a key is damaged, `OSError`.
    """
    local = _is_loopback(wanted.host)
    names = [*wanted.names, *([] if local else [socket.gethostname(), f"{socket.gethostname().split('.')[0]}.local"])]
    address = "localhost" if local else _own_address(wanted.host)
    with Rack.open(wanted.rack, create=True) as rack:
        listening = listening_at(wanted.host, wanted.port)
        scheme = "https" if wanted.https else "http"
        where = f"{scheme}://{f'[{address}]' if ':' in address else address}:{listening.getsockname()[1]}/"
        files = _certificate(wanted, [address, *names]) if wanted.https else None
        phones = None if local and not wanted.pair else Phones(phones_path(wanted.rack), announce=lambda c: _invite(where, c))
        if phones is not None:
            phones.all()  # damaged: said now, not to the first phone
        searcher = Searcher()
        setup = Setup(
            rack, phones, names, Jobs(wanted.jobs), Bench(wanted.plans), wanted.https, lambda n: _paired(n, phones), searcher
        )
        config = configured(make_app(setup), listening, files)
        print(f"The rack is at {where}", flush=True)
        if files:
            print(f"A phone must trust {files[2]} first: see the how-to.", flush=True)
        if phones is not None:
            phones.code()
        try:
            run(config, listening)
        finally:
            searcher.close()
    print("stopped", flush=True)


def _certificate(wanted: Wanted, names: Sequence[str]) -> tuple[Path, Path, Path]:
    beside = Path.cwd() / "rack" if "://" in wanted.rack else Path(wanted.rack).absolute()
    folder = beside.with_name(f"{beside.name}.certificate")
    return certificate(folder, list(dict.fromkeys([*names, "localhost", "127.0.0.1"])))


def configured(app: Callable[..., Any], listening: Listening, files: tuple[Path, Path, Path] | None = None) -> uvicorn.Config:
    """The server's settings for an application on a socket; `files`: certificate and key for https, and the shop's authority."""
    import uvicorn

    return uvicorn.Config(
        listening.heads.noted(app),
        http="h11",
        ws="none",
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_keep_alive=10,
        timeout_graceful_shutdown=STOP_SECONDS,
        h11_max_incomplete_event_size=64 * 1024,
        ssl_certfile=files[0] if files else None,
        ssl_keyfile=files[1] if files else None,
        proxy_headers=False,
    )


def run(config: uvicorn.Config, listening: Listening) -> None:
    """Serve on a socket that listens, until SIGTERM or Ctrl-C."""
    import uvicorn

    # The server hands signals on once it has stopped; by then there is nothing left to interrupt.
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: None)
    with asyncio.Runner(loop_factory=Loop) as runner:
        runner.run(listening.serve(uvicorn.Server(config)))


def _invite(where: str, code: str) -> None:
    print(_qr(f"{where}#pair={code}"), f"Pairing code: {code}", "It works once, for a quarter of an hour.", sep="\n", flush=True)


def _paired(name: str, phones: Phones | None) -> None:
    print(f"Paired: {''.join(c for c in name if c.isprintable())[:40] or 'phone'}", flush=True)
    if phones is not None:
        phones.code()


def listening_at(host: str, port: int) -> Listening:
    """A socket that listens there; port 0 is any free one. Raises `UsageError` where that can't be."""
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[0]
        listening = Listening(found[0], found[1], Held())
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(found[4])
        # From now on, so that a phone that is quicker than the rest of the start waits and is not refused.
        listening.listen()
    except (OSError, OverflowError) as error:
        raise UsageError(f"can't listen at {host}, port {port}: {error}") from error
    return listening


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _own_address(host: str) -> str:
    """The address a phone would use; nothing is sent to find it."""
    if host not in ("0.0.0.0", "::", ""):
        return host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address for documentation
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _qr(text: str) -> str:
    import io

    import segno

    out = io.StringIO()
    if not sys.stdout.isatty():
        return ""
    segno.make(text, error="m").terminal(out, compact=True)
    return out.getvalue()
