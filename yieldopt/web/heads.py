"""Connections that are opened and then say nothing, or say it a letter at a time, are hung up on: each one holds one of the few
places, and a server waits for the head of a request without end."""

from __future__ import annotations

import asyncio
import socket
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from starlette.types import ASGIApp, Receive, Scope, Send

# A phone on a bad connection sends the head of a request in one or two packets.
HEAD_SECONDS = 20.0
LOOK_SECONDS = 0.5

# Host and port of the other end: no two connections to one listening socket have the same.
Peer = tuple[str, int]


def peer_of(address: Any) -> Peer | None:
    """Of an address as sockets and servers give it; None for one without a port."""
    return (str(address[0]), int(address[1])) if isinstance(address, tuple | list) and len(address) > 1 else None


@dataclass
class _Open:
    connection: socket.socket
    # When it was opened, or the last answer ended; requests that are being answered.
    since: float
    answering: int = 0


class Heads:
    """The open connections, and since when each one has waited for a whole head."""

    def __init__(self, seconds: float | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self._seconds, self._clock = seconds, clock
        self._open: dict[Peer, _Open] = {}

    def opened(self, address: Any, connection: socket.socket) -> None:
        """From now on a head is waited for."""
        if (peer := peer_of(address)) is not None:
            self._open[peer] = _Open(connection, self._clock())

    def closed(self, address: Any, connection: socket.socket) -> None:
        """It is over; its address may be another connection's by now."""
        peer = peer_of(address)
        if peer is not None and (known := self._open.get(peer)) is not None and known.connection is connection:
            del self._open[peer]

    def noted(self, app: ASGIApp) -> ASGIApp:
        """The same application; a request that reaches it had a whole head."""

        async def noting(scope: Scope, receive: Receive, send: Send) -> None:
            known = self._open.get(peer) if (peer := peer_of(scope.get("client"))) is not None else None
            if known is None:
                await app(scope, receive, send)
                return
            known.answering += 1
            try:
                await app(scope, receive, send)
            finally:
                known.answering -= 1
                known.since = self._clock()

        return noting

    def hang_up(self) -> None:
        """Close those that have waited too long; what is being answered has time of its own."""
        seconds = HEAD_SECONDS if self._seconds is None else self._seconds
        late = self._clock() - seconds
        for known in list(self._open.values()):
            if not known.answering and known.since < late:
                with suppress(OSError):
                    known.connection.shutdown(socket.SHUT_RDWR)

    async def watch(self) -> None:
        """Look again and again, until it is cancelled."""
        while True:
            await asyncio.sleep(LOOK_SECONDS)
            self.hang_up()
