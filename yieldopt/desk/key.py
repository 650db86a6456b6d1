"""The key of one run of the desk's page: in the address that the browser is opened with, good for one window, then a cookie."""

from __future__ import annotations

import hmac
import secrets
import threading
from dataclasses import dataclass

from yieldopt.ground.errors import YieldoptError


class WrongKey(YieldoptError):
    """Not the key, or one that has been used."""

    def __init__(self) -> None:
        super().__init__("this is not the key of this run of the desk, or it has been used; open the address it printed last")


@dataclass(frozen=True)
class Window:
    """A browser that came with the key."""

    name: str


class Keys:
    """The key at hand and the tokens given for those before it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._tokens: dict[str, Window] = {}
        self.key = secrets.token_urlsafe(18)

    def enter(self, key: str) -> str:
        """The token for a window that brings the key, which is good no longer then. Raises `WrongKey`."""
        with self._lock:
            if not hmac.compare_digest(key.encode(), self.key.encode()):
                raise WrongKey
            self.key = secrets.token_urlsafe(18)
            token = secrets.token_urlsafe(24)
            self._tokens[token] = Window(f"window {len(self._tokens) + 1}")
            return token

    def known(self, token: str) -> Window | None:
        """The window of this token."""
        with self._lock:
            return next((w for t, w in self._tokens.items() if hmac.compare_digest(t.encode(), token.encode())), None)
