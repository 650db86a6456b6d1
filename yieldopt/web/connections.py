"""How many connections one address, and all together, may hold, counted from the moment they are accepted: before any
handshake, so that one that is never finished counts as well."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections import Counter
from typing import Any

from yieldopt.web.addresses import neighbour

# A browser opens six at once to one machine (common to all of them, by observation); a page, its worker and a second browser.
MOST_OF_ONE = 24
# In all: well below the 1,024 descriptors that a process commonly may hold.
MOST = 512
# Seconds for a TLS handshake: a phone on a bad connection takes two or three.
HANDSHAKE_SECONDS = 10.0
REFUSED_AT_ONCE = 64


class Held:
    """The connections that are open, by address."""

    def __init__(self, most_of_one: int = MOST_OF_ONE, most: int = MOST) -> None:
        self.most_of_one, self.most = most_of_one, most
        self._lock = threading.Lock()
        self._open: Counter[str] = Counter()

    def enter(self, address: str) -> bool:
        """Count one more, unless there are too many."""
        with self._lock:
            if self._open[address] >= self.most_of_one or self._open.total() >= self.most:
                return False
            self._open[address] += 1
            return True

    def leave(self, address: str) -> None:
        with self._lock:
            self._open[address] -= 1
            if self._open[address] <= 0:
                del self._open[address]


class _Counted(socket.socket):
    """A connection that is counted until it is closed."""

    held: Held | None = None
    address = ""

    def close(self) -> None:
        held, self.held = self.held, None
        super().close()
        if held is not None:
            held.leave(self.address)


class Listening(socket.socket):
    """A listening socket whose connections are counted; those that are too many are hung up on at once."""

    def __init__(self, family: int, kind: int, held: Held) -> None:
        super().__init__(family, kind)
        self.held = held

    def accept(self) -> tuple[socket.socket, Any]:
        """The next connection that may stay. Raises `BlockingIOError` where none waits, as any socket that does not wait."""
        for _ in range(REFUSED_AT_ONCE):
            taken, peer = super().accept()
            address = neighbour(str(peer[0])) if isinstance(peer, tuple) and peer else ""
            if not self.held.enter(address):
                taken.close()
                continue
            counted = _Counted(taken.family, taken.type, taken.proto, taken.detach())
            counted.held, counted.address = self.held, address
            return counted, peer
        # Others are served before the next ones are refused.
        raise BlockingIOError


class Loop(asyncio.SelectorEventLoop):
    """The event loop of the server: it gives a TLS handshake less time than the library does."""

    async def create_server(self, *args: Any, **options: Any) -> asyncio.Server:
        """As the library's, for every server with TLS."""
        if options.get("ssl"):
            options.setdefault("ssl_handshake_timeout", HANDSHAKE_SECONDS)
        return await super().create_server(*args, **options)
