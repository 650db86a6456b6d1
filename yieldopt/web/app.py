"""The page put together: which address answers with what. Errors a user can mend become HTTP answers here and nowhere else."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any

from fastapi import FastAPI, Header, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from jinja2 import Environment, PackageLoader, select_autoescape
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from yieldopt import __version__
from yieldopt.errors import InputError, UsageError, YieldoptError
from yieldopt.lumber import SOUND_KINDS, UNSOUND_KINDS
from yieldopt.rack import photos as photography
from yieldopt.rack.errors import BoardHeld, KeyReused, NoSuchBoard, NotOnRack, RackOutOfReach
from yieldopt.rack.facade import Rack
from yieldopt.rack.intake import Typed
from yieldopt.rack.ledger import digest
from yieldopt.rack.record import PhotoRef
from yieldopt.trade.tally import tally
from yieldopt.web import bodies, exchange
from yieldopt.web.bench import Bench, Otherwise
from yieldopt.web.bodies import BoardChange, Cell, Chosen, Code, Digest, Id, Pairing, Place, Tick, refusals
from yieldopt.web.codes import read_code
from yieldopt.web.guard import COOKIE, Guard
from yieldopt.web.jobs import Busy, Jobs
from yieldopt.web.phones import Paused, Phones

KINDS = (*sorted(SOUND_KINDS), *sorted(UNSOUND_KINDS))
BYTES = {"schema": {"type": "string", "format": "binary"}}
PICTURE = {"requestBody": {"required": True, "content": {"image/jpeg": BYTES}}}
PICTURE_BACK: dict[str, Any] = {
    "description": "the bytes as they came",
    "content": {f"image/{kind}": BYTES for kind in ("jpeg", "png", "webp")},
}
SHEET_BACK: dict[str, Any] = {"description": "a drawing", "content": {"image/svg+xml": {"schema": {"type": "string"}}}}
TYPES = {"js": "text/javascript", "css": "text/css", "svg": "image/svg+xml", "png": "image/png"}


@dataclass(frozen=True)
class Setup:
    """What one run of the page serves."""

    rack: Rack
    # None: this machine only, no pairing.
    phones: Phones | None = None
    # Host names that are this machine's.
    names: Iterable[str] = ()
    jobs: Jobs = field(default_factory=lambda: Jobs(()))
    bench: Bench = field(default_factory=lambda: Bench(()))
    secure: bool = False
    # Called after a phone was paired, to show the next code.
    paired: Callable[[str], None] = lambda name: None
    quick_seconds: float = 4.0


def make_app(setup: Setup) -> Guard:
    """The ASGI application; the guard is its outermost layer."""
    app = FastAPI(
        title="yieldopt phone page", version=__version__, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json"
    )
    _add_errors(app)
    _add_shell(app)
    _add_rack(app, setup)
    _add_jobs(app, setup)
    _add_bench(app, setup)
    return Guard(app, setup.phones, setup.names)


def _add_errors(app: FastAPI) -> None:
    def answer(status: int, error: Exception, **more: Any) -> JSONResponse:
        return JSONResponse({"error": str(error), **more}, status)

    @app.exception_handler(YieldoptError)
    async def mendable(request: Request, error: YieldoptError) -> JSONResponse:
        if isinstance(error, InputError):
            return answer(422, error, problems=exchange.problems(error))
        if isinstance(error, Otherwise):
            return answer(409, error, now=error.now)
        status = 404 if isinstance(error, NoSuchBoard) else 429 if isinstance(error, Paused) else 400
        status = 409 if isinstance(error, BoardHeld | NotOnRack | KeyReused) else status
        status = 503 if isinstance(error, Busy | RackOutOfReach) else status
        return answer(status, error)

    @app.exception_handler(exchange.Conflict)
    async def conflict(request: Request, error: exchange.Conflict) -> JSONResponse:
        return answer(409, error, conflict=error.kind, theirs=exchange.as_json(error.theirs))

    @app.exception_handler(RequestValidationError)
    async def malformed(request: Request, error: RequestValidationError) -> JSONResponse:
        # The library's own answer repeats what was sent; a token sent to the wrong place should not come back.
        found = [
            {"file": "request", "row": None, "column": ".".join(map(str, e["loc"])), "found": None}
            | dict.fromkeys(("expected", "text"), e["msg"])
            for e in error.errors()
        ]
        return answer(422, ValueError("; ".join(f"{p['column']}: {p['text']}" for p in found[:5])), problems=found)

    @app.exception_handler(HTTPException)
    async def refused(request: Request, error: HTTPException) -> JSONResponse:
        return JSONResponse({"error": error.detail}, error.status_code, error.headers)

    @app.exception_handler(IndexError)
    @app.exception_handler(KeyError)
    async def nothing(request: Request, error: Exception) -> JSONResponse:
        return JSONResponse({"error": "there is nothing here"}, 404)


def static_files() -> dict[str, bytes]:
    """Every file of the page by name: read once, so that no path from outside ever reaches the disk."""
    folder = files("yieldopt.web") / "static"
    return {f.name: f.read_bytes() for f in folder.iterdir() if f.name.partition(".")[2] in TYPES}


def _add_shell(app: FastAPI) -> None:
    contents = static_files()
    build = digest(__version__, *(f"{n}{b!r}" for n, b in sorted(contents.items())))[:12]
    pages = Environment(loader=PackageLoader("yieldopt.web", "templates"), autoescape=select_autoescape(["html"]))
    shell = pages.get_template("shell.html").render(kinds=KINDS, modules=sorted(n for n in contents if n.endswith(".js")))
    worker = pages.get_template("sw.js").render(build=build, names=sorted(contents))
    manifest = {
        "name": "yieldopt: rack and bench",
        "short_name": "rack",
        "start_url": "/",
        "display": "standalone",
        "background_color": "#20262b",
        "theme_color": "#20262b",
        "icons": [{"src": "/static/icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any"}],
    }
    fresh = {"cache-control": "no-cache"}

    @app.get("/", include_in_schema=False)
    async def page() -> Response:
        return Response(shell, media_type="text/html", headers=fresh)

    @app.get("/sw.js", include_in_schema=False)
    async def service_worker() -> Response:
        return Response(worker, media_type="text/javascript", headers=fresh)

    @app.get("/manifest.webmanifest", include_in_schema=False)
    async def about() -> Response:
        return JSONResponse(manifest, media_type="application/manifest+json", headers=fresh)

    @app.get("/static/{name}", include_in_schema=False)
    async def static(name: str) -> Response:
        return Response(contents[name], media_type=TYPES[name.partition(".")[2]], headers=fresh)


def _add_rack(app: FastAPI, setup: Setup) -> None:
    rack = setup.rack

    @app.get("/api/who", response_model=bodies.Who, responses=refusals())
    def who(request: Request) -> dict[str, Any]:
        """Whether this phone may come in, and under which name."""
        if setup.phones is None:
            return {"paired": True, "name": "this machine"}
        token = request.cookies.get(COOKIE, "")
        phone = setup.phones.known(token) if token else None
        return {"paired": phone is not None, "name": phone.name if phone else ""}

    @app.post("/api/pair", response_model=bodies.Who, responses=refusals(429, *bodies.WRITING))
    def pair(body: Pairing) -> Response:
        """Pair a phone: 403 for a wrong code, 429 while too many were wrong."""
        if setup.phones is None:
            return JSONResponse({"paired": True, "name": "this machine"})
        token = setup.phones.pair(body.code, body.name)
        if token is None:
            return JSONResponse({"error": "this is not the code in the terminal"}, 403)
        setup.paired(body.name)
        answer = JSONResponse({"paired": True})
        answer.set_cookie(COOKIE, token, max_age=400 * 86_400, httponly=True, samesite="strict", secure=setup.secure, path="/")
        return answer

    @app.get(
        "/api/rack", response_model=bodies.RackThere, responses={304: {"description": "nothing has changed"}, **refusals(503)}
    )
    def boards(if_none_match: Annotated[str | None, Header()] = None) -> Response:
        """Every board on the rack; 304 where nothing has changed."""
        newest = rack.history(most=1)
        tag = f'"{newest[0].seq if newest else 0}"'
        if if_none_match == tag:
            return Response(status_code=304, headers={"etag": tag})
        return JSONResponse({"boards": exchange.all_boards(rack)}, headers={"etag": tag, "cache-control": "private, no-cache"})

    @app.put("/api/boards/{id}", response_model=bodies.BoardThere, responses=refusals(404, 409, 503, *bodies.WRITING))
    def put(id: Id, body: BoardChange) -> dict[str, Any]:
        """Store a board or a correction; 409 with the rack's version where the two differ, 422 with every mistake."""
        typed = Typed(body.cells, body.defects, body.edges)
        return exchange.as_json(exchange.take_in(rack, exchange.Change(id, body.key, body.base, typed)))

    @app.post(
        "/api/boards/{id}/photos",
        response_model=bodies.BoardThere,
        responses=refusals(404, 409, 503, *bodies.WRITING),
        openapi_extra=PICTURE,
    )
    async def photo(id: Id, request: Request, name: Cell = "phone.jpg") -> dict[str, Any]:
        """Keep a photo (the body is its bytes) under a file name of its own; sent again it stays one photo."""
        content = await request.body()

        def keep() -> dict[str, Any]:
            looked = photography.look_at(name, content)
            there = rack.board(id)
            if PhotoRef(looked.name, looked.digest) in there.photos:
                return exchange.as_json(there)
            return exchange.as_json(rack.add_photo(id, looked))

        return await run_in_threadpool(keep)

    @app.get("/api/photos/{name}", response_class=Response, responses={200: PICTURE_BACK, **refusals(404, 422, 503)})
    def picture(name: Digest) -> Response:
        """A photo's bytes."""
        if (found := rack.photo(name)) is None:
            raise KeyError(name)
        return Response(
            found.content, media_type=f"image/{found.kind.lower()}", headers={"cache-control": "private, max-age=86400"}
        )

    @app.post("/api/tally", response_model=bodies.Counted, responses=refusals(404, 503, *bodies.WRITING))
    def count(body: Chosen) -> dict[str, Any]:
        """What these boards come to, exactly and as the dealer counts."""
        t = tally([r.board for r in rack.named(body.boards).values()])
        known = [line for line in t.boards if line.price is not None]
        return {
            "boards": len(t.boards),
            "exact": round(float(t.board_feet_exact), 3),
            "counted": t.board_feet,
            "price_exact": round(float(sum(line.price_exact or 0 for line in known)), 2),
            "price_counted": round(float(sum(line.price or 0 for line in known)), 2),
            "without_price": len(t.boards) - len(known),
        }


def _add_jobs(app: FastAPI, setup: Setup) -> None:
    @app.get("/api/jobs", responses=refusals(503))
    def jobs() -> list[dict[str, Any]]:
        """The jobs, with what the phone's own tests need."""
        return setup.jobs.offers(setup.rack)

    @app.post("/api/jobs/{number}/quick", response_model=bodies.Quick, responses=refusals(404, 503, *bodies.WRITING))
    def quick(number: Place, body: Chosen) -> dict[str, Any]:
        """A plan of a few seconds from these boards alone: what is still missing."""
        chosen = [r.board for r in setup.rack.named(body.boards).values()] if body.boards else []
        if not chosen:
            raise UsageError("no boards were chosen")
        return setup.jobs.quick(number, chosen, setup.rack, setup.quick_seconds)


def _add_bench(app: FastAPI, setup: Setup) -> None:
    @app.get("/api/bench", responses=refusals())
    def plans() -> list[dict[str, Any]]:
        """The plans on offer."""
        return setup.bench.offers()

    @app.get("/api/bench/{number}", response_model=bodies.BenchPlan, responses=refusals(404, 422))
    def plan(number: Place) -> dict[str, Any]:
        """A plan's boards, cuts and pieces with what is ticked off."""
        return setup.bench.show(number)

    @app.get(
        "/api/bench/{number}/sheets/{stem}/{page}.svg", response_class=Response, responses={200: SHEET_BACK, **refusals(404, 422)}
    )
    def sheet(number: Place, stem: str, page: Place, plan: Cell = "") -> Response:
        """One page of a board's sheet; 400 where `plan`, the SHA-256 of the plan it is wanted of, is another by now."""
        drawn = setup.bench.sheet(number, stem, page, plan)
        return Response(drawn, media_type="image/svg+xml", headers={"cache-control": "private, no-cache"})

    @app.post("/api/bench/{number}/codes", response_model=bodies.Judged, responses=refusals(404, *bodies.WRITING))
    def code(number: Place, body: Code) -> dict[str, Any]:
        """Whether the sheet with this code, or of this revision, is still good."""
        return setup.bench.judge(number, body.text)

    @app.post(
        "/api/bench/{number}/photos",
        response_model=bodies.Judged,
        responses=refusals(404, *bodies.WRITING),
        openapi_extra=PICTURE,
    )
    async def picture_of_code(number: Place, request: Request) -> dict[str, Any]:
        """The same from a picture of the sheet (the body is its bytes), for phones that read no codes themselves."""
        content = await request.body()
        return await run_in_threadpool(lambda: setup.bench.judge(number, read_code(content)))

    @app.post("/api/bench/{number}/ticks", response_model=bodies.BenchPlan, responses=refusals(404, 409, *bodies.WRITING))
    def tick(number: Place, body: Tick) -> dict[str, Any]:
        """Tick off; 409 with the state there is where another phone was first."""
        return setup.bench.tick(number, body.model_dump())


def phones_path(rack: str) -> Path:
    """Where the list of paired phones lies: beside a rack's file, else in the folder the page was started in."""
    return Path("phones.json") if "://" in rack else Path(f"{rack}.phones.json")
