"""How many connections one address, and all together, may hold, counted from the moment they are accepted: before any
handshake, so that one that is never finished counts as well."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from yieldopt.web.addresses import neighbour
from yieldopt.web.heads import Heads

if TYPE_CHECKING:
    import uvicorn

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

    over: Callable[[], None] | None = None

    def close(self) -> None:
        over, self.over = self.over, None
        super().close()
        if over is not None:
            over()


class Listening(socket.socket):
    """A listening socket whose connections are counted; those that are too many are hung up on at once, those that never say
    what they want after a while."""

    def __init__(self, family: int, kind: int, held: Held, heads: Heads | None = None) -> None:
        super().__init__(family, kind)
        self.held, self.heads = held, heads or Heads()

    def accept(self) -> tuple[socket.socket, Any]:
        """The next connection that may stay. Raises `BlockingIOError` where none waits, as any socket that does not wait."""
        for _ in range(REFUSED_AT_ONCE):
            taken, peer = super().accept()
            address = neighbour(str(peer[0])) if isinstance(peer, tuple) and peer else ""
            if not self.held.enter(address):
                taken.close()
                continue
            counted = _Counted(taken.family, taken.type, taken.proto, taken.detach())
            counted.over = partial(self._over, counted, peer, address)
            self.heads.opened(peer, counted)
            return counted, peer
        # Others are served before the next ones are refused.
        raise BlockingIOError


    def _over(self, connection: socket.socket, peer: Any, address: str) -> None:
        self.held.leave(address)
        self.heads.closed(peer, connection)

    async def serve(self, server: uvicorn.Server) -> None:
        """Run the server on this socket until it is told to stop."""
        watching = asyncio.create_task(self.heads.watch())
        try:
            await server.serve(sockets=[self])
        finally:
            watching.cancel()


class Loop(asyncio.SelectorEventLoop):
    """The event loop of the server: it gives a TLS handshake less time than the library does."""

    async def create_server(self, *args: Any, **options: Any) -> asyncio.Server:
        """As the library's, for every server with TLS."""
        if options.get("ssl"):
            options.setdefault("ssl_handshake_timeout", HANDSHAKE_SECONDS)
        return await super().create_server(*args, **options)
