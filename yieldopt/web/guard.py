"""What every request passes before any page sees it: host, phone, origin, size, time; and the headers of every answer."""

from __future__ import annotations

import asyncio
import ipaddress
import json
from collections.abc import Iterable
from typing import Protocol
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from yieldopt.ground.errors import YieldoptError
from yieldopt.web.refusing import standing

COOKIE = "yieldopt_phone"
# A page of another site can't set this header without being asked about it first, and no such question is ever granted.
MARK = "x-yieldopt"
MOST_BYTES = 2 * 1024 * 1024
MOST_PHOTO_BYTES = 21 * 1024 * 1024
# A request's body must be here by then; a slow client must not hold a place for ever.
BODY_SECONDS = 60.0
# Reached before a phone is paired: they show nothing of the shop.
OPEN_PATHS = ("/", "/sw.js", "/manifest.webmanifest", "/api/pair", "/api/who")
# Digits of a length that anybody could mean.
LONGEST_NUMBER = 15
HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
        "manifest-src 'self'; worker-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=()",
}


def _netloc(origin: str) -> str | None:
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return None


def _too_large(most: int) -> HTTPException:
    return HTTPException(413, f"more than {most:,} bytes", {"connection": "close"})


class Named(Protocol):
    @property
    def name(self) -> str: ...


class Knows(Protocol):
    """Who is let in."""

    def known(self, token: str) -> Named | None:
        """Whoever was given this token."""


class Guard:
    """ASGI middleware. `phones` None: no pairing (this machine only). `names`: host names that are this machine's."""

    def __init__(self, app: ASGIApp, phones: Knows | None, names: Iterable[str], body_seconds: float = BODY_SECONDS) -> None:
        self.app, self.phones = app, phones
        self.names = {n.lower() for n in names} | {"localhost"}
        self.body_seconds = body_seconds

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        try:
            refused = self._refuse(scope, headers)
        except (YieldoptError, OSError) as error:
            # A damaged list of phones, or one that can't be read: nobody is let in, and it is said why.
            refused = 503, standing(error)[1]
        if refused:
            await self._answer(send, *refused)
            return
        most = MOST_PHOTO_BYTES if scope["path"].endswith("/photos") else MOST_BYTES
        length = headers.get("content-length", "0")
        if len(length) > LONGEST_NUMBER or int(length) > most:
            await self._answer(send, 413, f"more than {most:,} bytes")
            return

        async def noting(message: Message) -> None:
            if message["type"] == "http.response.start":
                out = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    out[name] = value
                if scope["path"].startswith("/api/") and "cache-control" not in out:
                    out["cache-control"] = "no-store"
            await send(message)

        await self.app(scope, self._limited(receive, most), noting)

    def _refuse(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if not self._ours(host):
            return 421, "this name is not one of this machine's"
        method = scope["method"]
        if method not in ("GET", "HEAD", "POST", "PUT"):
            return 405, "expected GET, POST or PUT"
        if method in ("POST", "PUT"):
            origin = headers.get("origin")
            if (origin is not None and _netloc(origin) != host.lower()) or headers.get(MARK) != "1":
                return 403, "asked for by another page"
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()):
            return 400, "the length of the body can't be read"
        path = scope["path"]
        if self.phones is not None and path not in OPEN_PATHS and not path.startswith("/static/"):
            token = HTTPConnection(scope).cookies.get(COOKIE, "")
            phone = self.phones.known(token) if token else None
            if phone is None:
                return 401, "this phone is not paired"
            scope.setdefault("state", {})["phone"] = phone.name
        return None

    def _ours(self, host: str) -> bool:
        """Whether the name asked for is ours: another site's name pointed at our address (DNS rebinding) is not."""
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        if name in self.names:
            return True
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return True

    def _limited(self, receive: Receive, most: int) -> Receive:
        total = 0
        loop = asyncio.get_running_loop()
        until = loop.time() + self.body_seconds
        whole = False

        async def limited() -> Message:
            nonlocal total, whole
            if whole:
                return await receive()
            try:
                message = await asyncio.wait_for(receive(), max(0.01, until - loop.time()))
            except TimeoutError:
                raise HTTPException(408, "the request took too long to arrive", {"connection": "close"}) from None
            total += len(message.get("body", b""))
            whole = not message.get("more_body", False)
            if total > most:
                raise _too_large(most)
            return message

        return limited

    async def _answer(self, send: Send, status: int, what: str) -> None:
        body = json.dumps({"error": what}).encode()
        headers = {**HEADERS, "content-type": "application/json", "content-length": str(len(body)), "cache-control": "no-store"}
        if status in (408, 413):
            headers["connection"] = "close"
        raw = [(k.encode(), v.encode()) for k, v in headers.items()]
        await send({"type": "http.response.start", "status": status, "headers": raw})
        await send({"type": "http.response.body", "body": body})
