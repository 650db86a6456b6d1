"""The desk's page put together: its files, who comes in, and the addresses of each room."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response

from yieldopt.desk.bodies import Key
from yieldopt.desk.buyroutes import add_buying
from yieldopt.desk.jobroutes import add_job
from yieldopt.desk.photoroutes import add_photos
from yieldopt.desk.planroutes import add_planning
from yieldopt.desk.setup import Desk, NothingOpen
from yieldopt.desk.shelfroutes import add_shelf
from yieldopt.desk.trialroutes import add_trials
from yieldopt.web.app import Packed
from yieldopt.web.guard import COOKIE, Guard
from yieldopt.web.refusing import add_errors

TYPES = {"html": "text/html", "js": "text/javascript", "css": "text/css", "svg": "image/svg+xml"}
# Modules of the phone's page that this one uses too.
SHARED = {"dom.js": "view/dom.js"}
FRESH = {"cache-control": "no-cache"}


def make_desk(desk: Desk) -> Guard:
    """The ASGI application; the guard is its outermost layer."""
    app = FastAPI(title="yieldopt desk", docs_url=None, redoc_url=None, openapi_url=None)
    add_errors(app)
    _add_shell(app)
    _add_entrance(app, desk)
    add_shelf(app, desk)
    add_job(app, desk)
    add_photos(app, desk)
    add_planning(app, desk)
    add_trials(app, desk)
    add_buying(app, desk)
    return Guard(Packed(app), desk.keys, ())


def static_files() -> dict[str, bytes]:
    """Every file of the page by its path: read once, so that no path from outside ever reaches the disk."""

    def below(folder: Traversable, before: str) -> dict[str, bytes]:
        found: dict[str, bytes] = {}
        for f in folder.iterdir():
            if f.is_dir():
                found |= below(f, f"{before}{f.name}/")
            elif f.name.rpartition(".")[2] in TYPES:
                found[before + f.name] = f.read_bytes()
        return found

    theirs = files("yieldopt.web") / "static"
    shared = {f"shared/{name}": theirs.joinpath(path).read_bytes() for name, path in SHARED.items()}
    return below(files("yieldopt.desk") / "static", "") | shared


def _add_shell(app: FastAPI) -> None:
    contents = static_files()

    @app.get("/")
    async def page() -> Response:
        return Response(contents["desk.html"], media_type="text/html", headers=FRESH)

    @app.get("/static/{path:path}")
    async def static(path: str) -> Response:
        if path not in contents:
            return JSONResponse({"error": "there is nothing here"}, 404)
        return Response(contents[path], media_type=TYPES[path.rpartition(".")[2]], headers=FRESH)


def _add_entrance(app: FastAPI, desk: Desk) -> None:
    @app.post("/api/pair")
    async def enter(key: Key) -> Response:
        token = desk.keys.enter(key.key)
        desk.entered()
        answer = JSONResponse({})
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", path="/")
        return answer

    @app.get("/api/who")
    async def who(request: Request) -> dict[str, Any]:
        return {"known": desk.keys.known(request.cookies.get(COOKIE, "")) is not None}

    @app.exception_handler(NothingOpen)
    async def nothing_open(request: Request, error: NothingOpen) -> JSONResponse:
        return JSONResponse({"error": str(error), "nothing": True}, 409)
