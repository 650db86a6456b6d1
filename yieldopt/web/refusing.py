"""Errors as HTTP answers: the words for the person and a status that fits, here and nowhere else. An error that nobody raised on
purpose is a fault of the program and is told as one."""

from __future__ import annotations

import errno
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from yieldopt.ground.errors import InputError, YieldoptError
from yieldopt.ground.locking import LockedElsewhere
from yieldopt.rack.board.errors import BoardHeld, KeyReused, NoSuchBoard, NotOnRack, RackOutOfReach
from yieldopt.web import exchange
from yieldopt.web.asking import Busy
from yieldopt.web.missing import NothingHere
from yieldopt.web.parts import OtherPlace
from yieldopt.web.phones import Paused, RanOut
from yieldopt.web.ticking import Otherwise, Overtaken

FULL = 507
FAULT = (
    "the program at the rack has a fault; its terminal says where. What you logged stays on this phone until the rack has "
    "taken it"
)
NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
NOT_ALLOWED = (errno.EROFS, errno.EACCES, errno.EPERM)
STATUS: tuple[tuple[tuple[type[Exception], ...], int], ...] = (
    ((NoSuchBoard, NothingHere), 404),
    ((Paused,), 429),
    ((RanOut,), 410),
    ((Otherwise, Overtaken, OtherPlace, BoardHeld, NotOnRack, KeyReused), 409),
    ((Busy, LockedElsewhere, RackOutOfReach), 503),
)


def disk_words(error: OSError) -> tuple[int, str]:
    """Status and words for a file that could not be read or written."""
    if error.errno in NO_ROOM:
        return FULL, "there is no room left on the disk of the rack's machine; nothing was stored. Make room, then try again"
    if error.errno in NOT_ALLOWED:
        return 503, f"the rack's machine may not write there ({error.strerror}: {error.filename}); nothing was stored"
    return 503, f"the rack's machine can't read or write a file ({error.strerror or error}); nothing was stored"


def standing(error: Exception) -> tuple[int, str]:
    """Status and words for an error that a user can mend."""
    if isinstance(error, RackOutOfReach) and error.full:
        return FULL, str(error)
    if isinstance(error, OSError) and not isinstance(error, YieldoptError):
        return disk_words(error)
    return next((status for kinds, status in STATUS if isinstance(error, kinds)), 400), str(error)


def add_errors(app: FastAPI) -> None:
    """Teach the page what each error is called."""

    def answer(status: int, words: str, **more: Any) -> JSONResponse:
        return JSONResponse({"error": words, **more}, status)

    @app.exception_handler(YieldoptError)
    @app.exception_handler(OSError)
    async def mendable(request: Request, error: Exception) -> JSONResponse:
        if isinstance(error, InputError):
            return answer(422, str(error), problems=exchange.problems(error))
        status, words = standing(error)
        if isinstance(error, Otherwise):
            return answer(status, words, now=error.now)
        if isinstance(error, OtherPlace):
            return answer(status, words, have=error.have)
        if isinstance(error, Paused):
            return answer(status, words, wait=error.seconds)
        return answer(status, words)

    @app.exception_handler(exchange.Conflict)
    async def conflict(request: Request, error: exchange.Conflict) -> JSONResponse:
        return answer(409, str(error), conflict=error.kind, theirs=exchange.as_json(error.theirs))

    @app.exception_handler(RequestValidationError)
    async def malformed(request: Request, error: RequestValidationError) -> JSONResponse:
        # The library's own answer repeats what was sent; a token sent to the wrong place should not come back.
        found = [
            {"file": "request", "row": None, "column": ".".join(map(str, e["loc"])), "found": None}
            | dict.fromkeys(("expected", "text"), e["msg"])
            for e in error.errors()
        ]
        return answer(422, "; ".join(f"{p['column']}: {p['text']}" for p in found[:5]), problems=found)

    @app.exception_handler(HTTPException)
    async def refused(request: Request, error: HTTPException) -> JSONResponse:
        return JSONResponse({"error": error.detail}, error.status_code, error.headers)

    @app.exception_handler(Exception)
    async def fault(request: Request, error: Exception) -> JSONResponse:
        # The server prints where it happened; the phone is told no more than what it may do about it.
        return answer(500, FAULT)
