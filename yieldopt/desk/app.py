"""The desk's addresses: the job's tables, what is wrong with them, its boards, planning, the plan and its sheets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Literal

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from yieldopt.desk.kept import kept_plan, packet
from yieldopt.desk.key import Keys
from yieldopt.desk.mistakes import judged
from yieldopt.desk.places import Grounds, grounds
from yieldopt.desk.planner import Planner
from yieldopt.desk.show import Shown, Wood, shown, woods
from yieldopt.desk.tables import TABLES, ChangedMeanwhile, Grid, load, save
from yieldopt.errors import UsageError
from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.reading.limits import MAX_COLUMNS, MAX_ROWS
from yieldopt.reading.settings import settings_in
from yieldopt.records.planfile import loads
from yieldopt.web.app import Packed
from yieldopt.web.guard import COOKIE, Guard
from yieldopt.web.refusing import add_errors

TYPES = {"html": "text/html", "js": "text/javascript", "css": "text/css", "svg": "image/svg+xml"}
# Modules of the phone's page that this one uses too.
SHARED = {"dom.js": "view/dom.js"}
FRESH = {"cache-control": "no-cache"}
# Seconds that one run of the planner may take.
LEAST, MOST = 0.5, 3600.0

Stem = Literal["parts", "boards", "defects", "edges", "pins", "prices"]


class Typed(BaseModel):
    """A table as it stands in the page."""

    columns: list[str] = Field(max_length=MAX_COLUMNS)
    rows: list[list[str]] = Field(max_length=MAX_ROWS)
    digest: str = ""
    elsewhere: str | None = None

    def grid(self) -> Grid:
        wide = len(self.columns)
        rows = tuple(tuple([*row, *[""] * wide][:wide]) for row in self.rows)
        return Grid(tuple(self.columns), rows, self.digest, self.elsewhere)


class Tables(BaseModel):
    tables: dict[Stem, Typed]

    def grids(self) -> dict[str, Grid]:
        return {stem: typed.grid() for stem, typed in self.tables.items()}


class Began(BaseModel):
    key: str = Field(max_length=100)


class Looked(BaseModel):
    """A plan with the boards of the job that it was made for."""

    boards: list[Wood]
    plan: Shown


class Time(BaseModel):
    seconds: float = Field(ge=LEAST, le=MOST)


@dataclass(frozen=True)
class Desk:
    """What one run of the page works on."""

    folder: Path
    keys: Keys
    planner: Planner
    # Called once a window has come in, to show the key for the next.
    entered: Callable[[], None] = lambda: None


def make_desk(desk: Desk) -> Guard:
    """The ASGI application; the guard is its outermost layer."""
    app = FastAPI(title="yieldopt desk", docs_url=None, redoc_url=None, openapi_url=None)
    add_errors(app)
    _add_shell(app)
    _add_entrance(app, desk)
    _add_tables(app, desk)
    _add_planning(app, desk)
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
    async def enter(began: Began) -> Response:
        token = desk.keys.enter(began.key)
        desk.entered()
        answer = JSONResponse({})
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", path="/")
        return answer

    @app.get("/api/who")
    async def who(request: Request) -> dict[str, Any]:
        return {"known": desk.keys.known(request.cookies.get(COOKIE, "")) is not None}


def _said(grids: dict[str, Grid]) -> dict[str, Any]:
    return {stem: asdict(grid) for stem, grid in grids.items()}


def _add_tables(app: FastAPI, desk: Desk) -> None:
    @app.get("/api/job")
    def job() -> dict[str, Any]:
        settings = settings_in(desk.folder, [])
        known = {stem: {"needed": c.needed, "optional": c.optional} for stem, c in TABLES.items()}
        return {"name": settings.name, "units": settings.units, "tables": _said(load(desk.folder)), "columns": known}

    @app.post("/api/check")
    def check(typed: Tables) -> dict[str, Any]:
        found = judged(desk.folder, typed.grids())
        boards = woods(found.job) if found.job else None
        return {"mistakes": [asdict(m) for m in found.mistakes], "remarks": found.remarks, "boards": boards}

    @app.put("/api/tables")
    def keep(typed: Tables) -> dict[str, Any]:
        return _said(save(desk.folder, typed.grids()))

    @app.exception_handler(ChangedMeanwhile)
    async def changed(request: Request, error: ChangedMeanwhile) -> JSONResponse:
        return JSONResponse({"error": str(error), "theirs": _said(error.theirs)}, 409)

    @app.get("/api/boards")
    def boards() -> list[Wood]:
        found = judged(desk.folder, load(desk.folder))
        if found.job is None:
            raise UsageError("the tables have mistakes: mend them first")
        return woods(found.job)


def _add_planning(app: FastAPI, desk: Desk) -> None:
    @app.post("/api/plan")
    def begin(time: Time) -> dict[str, Any]:
        found = judged(desk.folder, load(desk.folder))
        if found.job is None:
            raise UsageError("the tables have mistakes: mend them first")
        return {"run": desk.planner.begin(found.job, time.seconds).number}

    @app.post("/api/plan/stop")
    def stop() -> dict[str, Any]:
        desk.planner.stop()
        return {}

    @app.get("/api/run")
    def run() -> dict[str, Any]:
        run = desk.planner.run
        if run is None:
            return {"state": "none", "standings": [], "sketches": 0, "error": None, "run": 0}
        standings = [asdict(s) for s in run.standings]
        return {"run": run.number, "state": run.state, "standings": standings, "sketches": run.sketches, "error": run.error}

    def at_hand() -> tuple[Job, Plan] | None:
        """The newest plan of the run under way or ended, else the one in the folder; None where there is none."""
        run = desk.planner.run
        if run is not None and run.shown is not None:
            return run.job, loads(run.shown)
        return kept_plan(desk.folder)

    @app.get("/api/plan")
    def plan() -> Looked | None:
        found = at_hand()
        return None if found is None else Looked(boards=woods(found[0]), plan=shown(found[1]))

    @app.get("/api/places")
    def places(piece: str) -> Grounds:
        """Where a piece of the plan at hand may lie."""
        found = at_hand()
        there = None if found is None else grounds(*found, piece)
        if there is None:
            raise UsageError(f"there is no piece {piece} in the plan")
        return there

    @app.get("/api/packet.pdf")
    def printed(only: str = "", paper: str = "letter") -> Response:
        sections = [s for s in only.split(",") if s]
        return Response(packet(desk.folder, sections, paper), media_type="application/pdf")

    @app.get("/api/sections")
    def sections() -> dict[str, Any]:
        from yieldopt.drawing.packet.packet import SECTIONS, USUAL

        return {"sections": SECTIONS, "usual": USUAL}
