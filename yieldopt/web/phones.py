"""Which phones may come in: a pairing code that works once, and a token for each phone that can be revoked."""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from yieldopt.errors import UsageError, YieldoptError
from yieldopt.files import write_atomically

FORMAT = "yieldopt-phones/1"
# Ten letters of 31: about 49 bits. No letters that are mistaken for each other.
LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
CODE_LENGTH = 10
CODE_SECONDS = 15 * 60
# After this many wrong codes nobody is let in for a while: guessing would take longer than the universe has been there.
WRONG_TRIES = 5
PAUSE_SECONDS = 60


@dataclass(frozen=True, slots=True)
class Phone:
    """A paired phone; `digest` is the SHA-256 of its token, which itself is kept nowhere."""

    name: str
    digest: str
    # UTC seconds since 1970.
    paired: int


class Paused(YieldoptError):
    """Too many wrong codes; try again later."""


class Phones:
    """The list of paired phones in a file of its own, read anew when it changes, so that revoking takes hold at once."""

    def __init__(self, path: Path, clock: Callable[[], float] = time.time) -> None:
        self.path = path
        self._clock = clock
        self._lock = threading.Lock()
        self._code = ""
        self._code_until = 0.0
        self._wrong = 0
        self._closed_until = 0.0

    def all(self) -> list[Phone]:
        """The phones; raises `UsageError` where the file is something else."""
        try:
            body = json.loads(self.path.read_text(encoding="utf-8"))
            if body["format"] != FORMAT:
                raise ValueError(body["format"])
            return [Phone(str(p["name"]), str(p["digest"]), int(p["paired"])) for p in body["phones"]]
        except FileNotFoundError:
            return []
        except (ValueError, KeyError, TypeError) as error:
            raise UsageError(f"{self.path} is not a list of phones; it was left untouched") from error

    def _store(self, phones: list[Phone]) -> None:
        write_atomically(self.path, json.dumps({"format": FORMAT, "phones": [asdict(p) for p in phones]}, indent=1) + "\n")
        self.path.chmod(0o600)

    def code(self) -> str:
        """The code that lets the next phone in; a new one once it was used or ran out."""
        with self._lock:
            if not self._code or self._clock() > self._code_until:
                self._code = "".join(secrets.choice(LETTERS) for _ in range(CODE_LENGTH))
                self._code_until = self._clock() + CODE_SECONDS
            return self._code

    def pair(self, code: str, name: str) -> str | None:
        """The token of a new phone if the code is right, else None. Raises `Paused` after too many wrong ones."""
        with self._lock:
            now = self._clock()
            if now < self._closed_until:
                raise Paused("too many wrong codes; wait a minute")
            given = "".join(c for c in code.upper() if c in LETTERS)
            right = bool(self._code) and now <= self._code_until and hmac.compare_digest(given, self._code)
            if not right:
                self._wrong += 1
                if self._wrong >= WRONG_TRIES:
                    # The code itself is thrown away too: each code sees only a handful of guesses.
                    self._wrong, self._closed_until, self._code = 0, now + PAUSE_SECONDS, ""
                return None
            self._code, self._wrong = "", 0
            token = secrets.token_urlsafe(32)
            known = self.all()
            taken = {p.name for p in known}
            plain = " ".join("".join(c for c in name if c.isprintable()).split())[:40] or "phone"
            unique, n = plain, 2
            while unique in taken:
                unique, n = f"{plain} {n}", n + 1
            self._store([*known, Phone(unique, _digest(token), int(now))])
            return token

    def known(self, token: str) -> Phone | None:
        """The phone of this token, if it was not revoked."""
        digest = _digest(token)
        return next((p for p in self.all() if hmac.compare_digest(p.digest, digest)), None)

    def revoke(self, name: str) -> bool:
        """Shut a phone out; whether there was one of this name."""
        with self._lock:
            phones = self.all()
            rest = [p for p in phones if p.name != name]
            if len(rest) < len(phones):
                self._store(rest)
            return len(rest) < len(phones)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
