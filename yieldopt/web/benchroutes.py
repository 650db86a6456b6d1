"""Addresses of the bench: plans, sheets, ticks, planning again."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from yieldopt.web import answers, pictures
from yieldopt.web.answers import WRITING, refusals
from yieldopt.web.app import Setup
from yieldopt.web.bodies import Again, Cell, Code, Name, Place, Tick
from yieldopt.web.rackroutes import DRAWING_BACK, PICTURE
from yieldopt.web.replanner import Replanner, Run
from yieldopt.web.ticking import CHANGED, Overtaken


def replan_json(run: Run) -> dict[str, Any]:
    """How planning again stands."""
    again = run.again
    return {
        "ask": run.name,
        "state": run.state,
        "revision": again.revision if again else None,
        "said": list(again.said) if again else [],
        "sheets": [
            {"board": board, "how": how, "rub_out": list(gone), "draw": list(new)}
            for board, how, gone, new in (again.sheets if again else ())
        ],
        "unplaced": [{"part": part, "qty": qty, "why": why} for part, qty, why in (again.unplaced if again else ())],
        "error": run.error,
    }


def add_bench(app: FastAPI, setup: Setup, replanner: Replanner) -> None:
    """The bench."""

    @app.get("/api/bench", responses=refusals())
    def plans() -> list[dict[str, Any]]:
        """The plans on offer."""
        return setup.bench.offers()

    @app.get("/api/bench/{number}", response_model=answers.BenchPlan, responses=refusals(404, 422))
    def plan(number: Place) -> dict[str, Any]:
        """A plan's boards, cuts and pieces with what is ticked off."""
        return setup.bench.show(number)

    @app.get(
        "/api/bench/{number}/sheets/{stem}/{page}.svg",
        response_class=Response,
        responses={200: DRAWING_BACK, **refusals(404, 422)},
    )
    def sheet(number: Place, stem: str, page: Place, plan: Cell = "") -> Response:
        """One page of a board's sheet; 400 where `plan`, the SHA-256 of the plan it is wanted of, is another by now."""
        drawn = setup.bench.sheet(number, stem, page, plan)
        return Response(drawn, media_type="image/svg+xml", headers={"cache-control": "private, no-cache"})

    @app.post("/api/bench/{number}/codes", response_model=answers.Judged, responses=refusals(404, *WRITING))
    def code(number: Place, body: Code) -> dict[str, Any]:
        """Whether the sheet with this code, or of this revision, is still good."""
        return setup.bench.judge(number, body.text)

    @app.post(
        "/api/bench/{number}/photos",
        response_model=answers.Judged,
        responses=refusals(404, *WRITING),
        openapi_extra=PICTURE,
    )
    async def picture_of_code(number: Place, request: Request) -> dict[str, Any]:
        """The same from a picture of the sheet (the body is its bytes), for phones that read no codes themselves."""
        content = await request.body()
        return await run_in_threadpool(lambda: setup.bench.judge(number, pictures.read_code(content)))

    @app.post("/api/bench/{number}/ticks", response_model=answers.BenchPlan, responses=refusals(404, 409, *WRITING))
    def tick(request: Request, number: Place, body: Tick) -> dict[str, Any]:
        """Tick off; 409 with the state there is where another phone was first."""
        return setup.bench.tick(number, body.model_dump(), setup.who(request))

    @app.post("/api/bench/{number}/replan", response_model=answers.Replan, responses=refusals(404, 409, *WRITING))
    def replan(request: Request, number: Place, body: Again) -> dict[str, Any]:
        """Plan what is left again from the ticks, in the background."""
        if setup.bench.plan(number)[2] != body.plan:
            raise Overtaken(CHANGED)
        return replan_json(replanner.begin(number, setup.bench.folder(number), body.plan, setup.who(request)))

    @app.get("/api/bench/{number}/replan/{ask}", response_model=answers.Replan, responses=refusals(404, 422))
    def replanned(number: Place, ask: Name) -> dict[str, Any]:
        """How planning again stands by now."""
        return replan_json(replanner.look(number, ask))
