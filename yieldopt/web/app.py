"""The page put together: what it serves, and its layers from the outermost inwards."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response
from jinja2 import Environment, PackageLoader, select_autoescape
from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

from yieldopt import __version__
from yieldopt.rack.books.ledger import digest
from yieldopt.rack.door.facade import Rack
from yieldopt.web.asking import Asking, searched
from yieldopt.web.bench import Bench
from yieldopt.web.guard import Guard
from yieldopt.web.jobs import Jobs
from yieldopt.web.missing import NothingHere
from yieldopt.web.phones import Phones
from yieldopt.web.refusing import add_errors
from yieldopt.web.replanner import Replanner, plan_again
from yieldopt.web.searcher import Searcher

TYPES = {"js": "text/javascript", "css": "text/css", "svg": "image/svg+xml", "png": "image/png"}
# Bytes under which an answer goes as it is.
SMALL = 1000


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
    # Where searches run; whoever made the setup closes it.
    searcher: Searcher = field(default_factory=Searcher)

    def by(self, request: Request) -> Rack:
        """The rack for changes that come with this request: the ledger names the phone."""
        phone = request.scope.get("state", {}).get("phone")
        return self.rack if phone is None else self.rack.by(f"phone {phone}")

    def who(self, request: Request) -> str:
        """Who makes the request, for histories."""
        return self.by(request).who


class Packed:
    """Compresses answers for those who take it; photos are as small as they get."""

    def __init__(self, app: ASGIApp) -> None:
        self.app, self.packed = app, GZipMiddleware(app, minimum_size=SMALL, compresslevel=6)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        plain = scope["type"] != "http" or scope["path"].startswith("/api/photos/")
        await (self.app if plain else self.packed)(scope, receive, send)


def make_app(setup: Setup) -> Guard:
    """The ASGI application; the guard is its outermost layer."""
    from yieldopt.web.benchroutes import add_bench
    from yieldopt.web.jobroutes import add_jobs
    from yieldopt.web.rackroutes import add_pairing, add_rack

    app = FastAPI(
        title="yieldopt phone page", version=__version__, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json"
    )
    add_errors(app)
    _add_shell(app)
    add_pairing(app, setup)
    add_rack(app, setup)
    submit = setup.searcher.submit
    add_jobs(app, setup, Asking(lambda job, seconds, seed: submit(searched, job, seconds, seed)))
    add_bench(app, setup, Replanner(lambda folder, plan, who: submit(plan_again, folder, plan, who)))
    return Guard(Packed(app), setup.phones, setup.names)


def static_files() -> dict[str, bytes]:
    """Every file of the page by its path below `static`: read once, so that no path from outside ever reaches the disk."""
    return dict(_files_in(files("yieldopt.web") / "static", ""))


def _files_in(folder: Traversable, at: str) -> Iterator[tuple[str, bytes]]:
    for f in folder.iterdir():
        if f.is_dir():
            yield from _files_in(f, f"{at}{f.name}/")
        elif _ending(f.name) in TYPES:
            yield at + f.name, f.read_bytes()


def _ending(name: str) -> str:
    return name.rpartition(".")[2]


def _add_shell(app: FastAPI) -> None:
    contents = static_files()
    build = digest(__version__, *(f"{n}{b!r}" for n, b in sorted(contents.items())))[:12]
    pages = Environment(loader=PackageLoader("yieldopt.web", "templates"), autoescape=select_autoescape(["html"]))
    shell = pages.get_template("shell.html").render(modules=sorted(n for n in contents if n.endswith(".js")))
    addresses = ["/", "/manifest.webmanifest", *(f"/static/{n}" for n in sorted(contents))]
    script = (files("yieldopt.web") / "templates" / "sw.js").read_text(encoding="utf-8")
    worker = f"const BUILD = {json.dumps(build)};\nconst PAGE = {json.dumps(addresses)};\n{script}"
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

    @app.get("/static/{name:path}", include_in_schema=False)
    async def static(name: str) -> Response:
        if name not in contents:
            raise NothingHere
        return Response(contents[name], media_type=TYPES[_ending(name)], headers=fresh)


def beside(rack: str, ending: str) -> Path:
    """A file of the page's own: beside a rack's file, else in the folder the page was started in."""
    return Path(ending) if "://" in rack else Path(f"{rack}.{ending}")


def phones_path(rack: str) -> Path:
    """Where the list of paired phones lies."""
    return beside(rack, "phones.json")
