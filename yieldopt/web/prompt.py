"""Connections that are opened and then say nothing, or say it a letter at a time, are hung up on."""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

# A phone on a bad connection sends the head of a request in one or two packets.
HEAD_SECONDS = 20.0


class Prompt(H11Protocol):
    """Uvicorn's own protocol, which waits for a request's head without end: each one holds one of the few places."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to look, every `HEAD_SECONDS`, whether a request has come whole since the last look."""
        super().connection_made(transport)
        self.loop.call_later(HEAD_SECONDS, self._look, None)

    def _look(self, seen: Any) -> None:
        cycle = self.cycle
        if self.transport.is_closing():
            return
        answering = cycle is not None and not cycle.response_complete
        if cycle is seen and not answering:
            self.transport.close()
            return
        self.loop.call_later(HEAD_SECONDS, self._look, cycle)
