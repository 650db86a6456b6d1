"""Which phones may come in: a pairing code that works once, and a token for each phone that can be revoked."""

from __future__ import annotations

import hashlib
import hmac
import json
import math
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from yieldopt.ground.errors import UsageError, YieldoptError
from yieldopt.ground.files import write_atomically

FORMAT = "yieldopt-phones/1"
# Ten letters of 31: about 49 bits. No letters that are mistaken for each other.
LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
CODE_LENGTH = 10
CODE_SECONDS = 15 * 60
# After this many wrong codes an address has to wait, each time twice as long: it shuts out itself and nobody else.
WRONG_TRIES = 5
PAUSE_SECONDS = 60
LONGEST_PAUSE = 3600
# After this many from anywhere the code is another: one in 49 bits is then still as good as unguessed.
WRONG_IN_ALL = 200
# Addresses remembered at once; the one that was heard of longest ago is forgotten first.
MOST_ADDRESSES = 4096


@dataclass(frozen=True, slots=True)
class Phone:
    """A paired phone; `digest` is the SHA-256 of its token, which itself is kept nowhere."""

    name: str
    digest: str
    # UTC seconds since 1970.
    paired: int


class Paused(YieldoptError):
    """Too many wrong codes from one address; it may try again in `seconds`."""

    def __init__(self, seconds: int) -> None:
        self.seconds = seconds
        super().__init__(f"too many wrong codes from this phone; wait {seconds} seconds, then type the code in the terminal")


class RanOut(YieldoptError):
    """The code was given too late, or too many guessed at it; there is a new one."""


@dataclass
class _Tries:
    """What an address has tried."""

    wrong: int = 0
    pauses: int = 0
    closed_until: float = 0.0


class Phones:
    """The list of paired phones in a file of its own, read anew when it changes, so that revoking takes hold at once."""

    def __init__(
        self, path: Path, clock: Callable[[], float] = time.time, announce: Callable[[str], None] = lambda code: None
    ) -> None:
        """`announce` is told each new code, for the person at the terminal."""
        self.path = path
        self._clock = clock
        self._announce = announce
        self._lock = threading.Lock()
        self._code = ""
        self._code_until = 0.0
        # The code before, as a fingerprint: whoever types it late is told so, instead of "wrong".
        self._before = ""
        self._wrong = 0
        self._tries: OrderedDict[str, _Tries] = OrderedDict()

    def all(self) -> list[Phone]:
        """The phones; raises `UsageError` where the file is something else."""
        try:
            body = json.loads(self.path.read_text(encoding="utf-8"))
            if body["format"] != FORMAT:
                raise ValueError(body["format"])
            return [Phone(str(p["name"]), str(p["digest"]), int(p["paired"])) for p in body["phones"]]
        except FileNotFoundError:
            return []
        except (ValueError, KeyError, TypeError, RecursionError) as error:
            raise UsageError(
                f"{self.path} is damaged: no list of phones can be read from it. It was left untouched; bring back a copy, or "
                "move it away and pair the phones again"
            ) from error

    def _store(self, phones: list[Phone]) -> None:
        write_atomically(self.path, json.dumps({"format": FORMAT, "phones": [asdict(p) for p in phones]}, indent=1) + "\n", 0o600)

    def code(self) -> str:
        """The code that lets the next phone in; a new one once it was used or ran out."""
        with self._lock:
            if not self._code or self._clock() > self._code_until:
                self._renew()
            return self._code

    def _renew(self) -> None:
        self._before = _digest(self._code) if self._code else ""
        self._code = "".join(secrets.choice(LETTERS) for _ in range(CODE_LENGTH))
        self._code_until = self._clock() + CODE_SECONDS
        self._wrong = 0
        self._announce(self._code)

    def pair(self, code: str, name: str, address: str = "") -> str | None:
        """The token of a new phone if the code is right, else None.

        Raises `Paused` after too many wrong ones from this address; `RanOut` where there is a new code because the one given
        was too old, or because too many wrong ones came from everywhere. Raises `OSError` where the phone can't be written
        down; the code is still good then.
        """
        with self._lock:
            now = self._clock()
            tries = self._of(address)
            if now < tries.closed_until:
                raise Paused(math.ceil(tries.closed_until - now))
            given = "".join(c for c in code.upper() if c in LETTERS)
            late = bool(self._code) and now > self._code_until
            if late:
                self._renew()
            if not hmac.compare_digest(given, self._code) or not self._code:
                self._refuse(given, tries, now)
                return None
            token = secrets.token_urlsafe(32)
            known = self.all()
            self._store([*known, Phone(_unique(name, known), _digest(token), int(now))])
            # Only now: a code that let nobody in is not used up.
            self._code, self._before, self._wrong = "", "", 0
            self._tries.pop(address, None)
            return token

    def _refuse(self, given: str, tries: _Tries, now: float) -> None:
        """Count a wrong code. Raises `RanOut`, or nothing."""
        if self._before and hmac.compare_digest(_digest(given), self._before):
            raise RanOut("this code has run out; a new one stands in the terminal")
        tries.wrong += 1
        self._wrong += 1
        if tries.wrong >= WRONG_TRIES:
            tries.closed_until = now + min(LONGEST_PAUSE, PAUSE_SECONDS * 2**tries.pauses)
            tries.wrong, tries.pauses = 0, min(tries.pauses + 1, 10)
        if self._wrong >= WRONG_IN_ALL:
            self._renew()
            raise RanOut("too many wrong codes were tried; a new one stands in the terminal")

    def _of(self, address: str) -> _Tries:
        tries = self._tries.setdefault(address, _Tries())
        self._tries.move_to_end(address)
        if len(self._tries) > MOST_ADDRESSES:
            self._tries.popitem(last=False)
        return tries

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


def _unique(name: str, known: Sequence[Phone]) -> str:
    taken = {p.name for p in known}
    plain = " ".join("".join(c for c in name if c.isprintable()).split())[:40] or "phone"
    unique, n = plain, 2
    while unique in taken:
        unique, n = f"{plain} {n}", n + 1
    return unique


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
