"""Addresses of pairing and of the rack."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import FastAPI, Query, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from yieldopt.rack.board.record import Photo, PhotoRef
from yieldopt.rack.books import photos as photography
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.typed.intake import Typed
from yieldopt.trade.tally import tally
from yieldopt.web import answers, exchange, pictures, views
from yieldopt.web.addresses import neighbour
from yieldopt.web.answers import WRITING, refusals
from yieldopt.web.app import Setup, beside
from yieldopt.web.bodies import BoardChange, Cell, Chosen, Code, Digest, Id, Pairing
from yieldopt.web.guard import COOKIE
from yieldopt.web.missing import NothingHere
from yieldopt.web.parts import Parts

BYTES = {"schema": {"type": "string", "format": "binary"}}
PICTURE = {"requestBody": {"required": True, "content": {"image/jpeg": BYTES}}}
PART = {"requestBody": {"required": True, "content": {"application/octet-stream": BYTES}}}
PICTURE_BACK: dict[str, Any] = {
    "description": "the bytes as they are kept",
    "content": {f"image/{kind}": BYTES for kind in ("jpeg", "png", "webp")},
}
DRAWING_BACK: dict[str, Any] = {"description": "a drawing", "content": {"image/svg+xml": {"schema": {"type": "string"}}}}
# Boards of one page of news, unless the phone asks for another number.
PAGE = 250
# Seconds for which a browser keeps its cookie: the longest that browsers take.
COOKIE_SECONDS = 400 * 86_400
Cursor = Annotated[str, Query(max_length=100)]
Many = Annotated[int, Query(ge=1, le=1000)]
Bytes = Annotated[int, Query(ge=0, le=photography.LARGEST_IN_BYTES)]


def add_pairing(app: FastAPI, setup: Setup) -> None:
    """Who may come in."""

    @app.get("/api/who", response_model=answers.Who, responses=refusals())
    def who(request: Request) -> dict[str, Any]:
        """Whether this phone may come in, under which name, and how many were paired before it."""
        if setup.phones is None:
            return {"paired": True, "name": "this machine"}
        token = request.cookies.get(COOKIE, "")
        phone = setup.phones.known(token) if token else None
        if phone is None:
            return {"paired": False}
        return {"paired": True, "name": phone.name, "number": setup.phones.all().index(phone)}

    @app.post("/api/pair", response_model=answers.Who, responses=refusals(410, 429, *WRITING))
    def pair(request: Request, body: Pairing) -> Response:
        """Pair a phone: 403 for a wrong code, 410 for one that has run out, 429 while too many from this address were wrong."""
        if setup.phones is None:
            return JSONResponse({"paired": True, "name": "this machine"})
        token = setup.phones.pair(body.code, body.name, neighbour(request.client.host) if request.client else "")
        if token is None:
            return JSONResponse({"error": "this is not the code in the terminal"}, 403)
        setup.paired(body.name)
        answer = JSONResponse({"paired": True})
        options = {"httponly": True, "samesite": "strict", "secure": setup.secure, "path": "/"}
        answer.set_cookie(COOKIE, token, max_age=COOKIE_SECONDS, **options)  # type: ignore[arg-type]
        return answer


def add_rack(app: FastAPI, setup: Setup) -> None:
    """Boards and photos."""
    rack, parts = setup.rack, Parts(beside(setup.rack.where, "parts"))

    @app.get("/api/rack", response_model=answers.RackNews, responses=refusals(422))
    def news(after: Cursor = "", most: Many = PAGE, holds: Cursor = "") -> dict[str, Any]:
        """What changed on the rack since the cursor, one page of it; without one every board."""
        return views.news_json(rack, after, most, holds)

    @app.get("/api/boards/{id}", response_model=answers.BoardView, responses=refusals(404, 422))
    def board(id: Id) -> dict[str, Any]:
        """All that is known of one board, on the rack or gone."""
        return views.board_json(rack, rack.board(id))

    @app.get("/api/boards/{id}/picture.svg", response_class=Response, responses={200: DRAWING_BACK, **refusals(404, 422)})
    def drawing(id: Id) -> Response:
        """The board drawn, both faces."""
        return Response(views.drawing(rack.board(id)), media_type="image/svg+xml", headers={"cache-control": "private, no-cache"})

    @app.post("/api/labels", response_model=answers.BoardView, responses=refusals(404, *WRITING))
    def label(body: Code) -> dict[str, Any]:
        """The board of a label, from what its code says."""
        return views.board_json(rack, views.labelled(rack, body.text))

    @app.post("/api/labels/photos", response_model=answers.BoardView, responses=refusals(404, *WRITING), openapi_extra=PICTURE)
    async def picture_of_label(request: Request) -> dict[str, Any]:
        """The same from a picture of the label (the body is its bytes)."""
        content = await request.body()
        read = lambda: views.board_json(rack, views.labelled(rack, pictures.read_code(content)))  # noqa: E731
        return await run_in_threadpool(read)

    @app.put("/api/boards/{id}", response_model=answers.BoardThere, responses=refusals(404, 409, *WRITING))
    def put(request: Request, id: Id, body: BoardChange) -> dict[str, Any]:
        """Store a board or a correction; 409 with the rack's version where the two differ, 422 with every mistake."""
        typed = Typed(body.cells, body.defects, body.edges)
        return exchange.as_json(exchange.take_in(setup.by(request), exchange.Change(id, body.key, body.base, typed)))

    @app.post(
        "/api/boards/{id}/photos",
        response_model=answers.BoardThere,
        responses=refusals(404, 409, *WRITING),
        openapi_extra=PICTURE,
    )
    async def photo(id: Id, request: Request, name: Cell = "phone.jpg") -> dict[str, Any]:
        """Keep a photo (the body is its bytes) under a file name of its own; sent again it stays one photo."""
        content = await request.body()
        by = setup.by(request)
        return await run_in_threadpool(lambda: exchange.as_json(_keep(by, id, pictures.take_in(name, content))))

    @app.get("/api/boards/{id}/photos/{digest}", response_model=answers.PhotoPart, responses=refusals(422))
    def photo_so_far(id: Id, digest: Digest) -> dict[str, Any]:
        """How much of a photo there is already."""
        return {"have": parts.have(id, digest), "board": None}

    @app.put(
        "/api/boards/{id}/photos/{digest}",
        response_model=answers.PhotoPart,
        responses=refusals(404, 409, *WRITING),
        openapi_extra=PART,
    )
    async def part_of_photo(
        request: Request, id: Id, digest: Digest, size: Bytes, at: Bytes, name: Cell = "phone.jpg"
    ) -> dict[str, Any]:
        """Take in a part of a photo (the body) that begins at `at`; the board once all `size` bytes are there."""
        content, by = await request.body(), setup.by(request)
        return await run_in_threadpool(lambda: _part(by, parts, (id, digest, name), (size, at, content)))

    @app.get("/api/photos/{name}", response_class=Response, responses={200: PICTURE_BACK, **refusals(404, 422)})
    def picture(name: Digest) -> Response:
        """A photo's bytes."""
        if (found := rack.photo(name)) is None:
            raise NothingHere
        kept = {"cache-control": "private, max-age=86400"}
        return Response(found.content, media_type=f"image/{found.kind.lower()}", headers=kept)

    @app.post("/api/tally", response_model=answers.Counted, responses=refusals(*WRITING))
    def count(body: Chosen) -> dict[str, Any]:
        """What these boards come to, exactly and as the dealer counts; those held for jobs are named."""
        chosen, holds = views.chosen(rack, body.boards, body.all_but or ()), rack.holds()
        t = tally([r.board for r in chosen])
        known = [line for line in t.boards if line.price is not None]
        return {
            "boards": len(t.boards),
            "exact": round(float(t.board_feet_exact), 3),
            "counted": t.board_feet,
            "price_exact": round(float(sum(line.price_exact or 0 for line in known)), 2),
            "price_counted": round(float(sum(line.price or 0 for line in known)), 2),
            "without_price": len(t.boards) - len(known),
            "held": [{"board": r.name, "job": holds[r.id].job} for r in chosen if r.id in holds],
        }


def _keep(rack: Rack, board: str, photo: Photo) -> Any:
    there = rack.board(board)
    return there if PhotoRef(photo.name, photo.digest) in there.photos else rack.add_photo(board, photo)


def _part(rack: Rack, parts: Parts, which: tuple[str, str, str], part: tuple[int, int, bytes]) -> dict[str, Any]:
    (board, digest, name), (size, at, content) = which, part
    there = rack.board(board)
    if not content and at == size == parts.have(board, digest) and any(p.name == name for p in there.photos):
        return {"have": size, "board": exchange.as_json(there)}
    have = parts.add(digest, size, at, content)
    if have < size:
        return {"have": have, "board": None}
    kept = _keep(rack, board, pictures.take_in(name, parts.whole(digest)))
    parts.done(board, digest, size)
    return {"have": size, "board": exchange.as_json(kept)}
