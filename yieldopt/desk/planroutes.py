"""Addresses of planning: a run and how it stands, the plan at hand, where a piece may lie, what is printed."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel

from yieldopt.desk.about import About, about
from yieldopt.desk.bodies import Time
from yieldopt.desk.jobroutes import Number
from yieldopt.desk.kept import kept_plan, packet
from yieldopt.desk.mistakes import judged
from yieldopt.desk.places import Grounds, grounds, wishes
from yieldopt.desk.planner import is_begun
from yieldopt.desk.sets import FinishedSets, finished
from yieldopt.desk.setup import Desk
from yieldopt.desk.show import Shown, Wood, shown, woods
from yieldopt.desk.tables import load
from yieldopt.ground.errors import UsageError, YieldoptError
from yieldopt.records.planfile import loads
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


class Begun(YieldoptError):
    """Boards of the plan at hand are cut."""

    def __init__(self) -> None:
        super().__init__(
            "boards of this plan are cut already: plan what is left again, under Surprises; only a job that starts over is "
            "planned from nothing"
        )


class Looked(BaseModel):
    """A plan with the boards of the job that it was made for."""

    boards: list[Wood]
    plan: Shown


def at_hand(desk: Desk) -> tuple[Job, Plan] | None:
    """The newest plan of a run under way, else the one in the folder; None where there is none."""
    opened = desk.at()
    run = opened.planner.run
    if run is not None and run.state == "running" and run.shown is not None:
        return run.job, loads(run.shown)
    return kept_plan(opened.folder)


def add_planning(app: FastAPI, desk: Desk) -> None:
    """Planning, and what is looked at and printed of it."""

    @app.post("/api/plan")
    def begin(time: Time, number: Number = None) -> dict[str, Any]:
        opened = desk.at(number)
        found = judged(opened.folder, load(opened.folder))
        if found.job is None:
            raise UsageError("the tables have mistakes: mend them first")
        if not time.anew and is_begun(opened.folder):
            raise Begun
        opened.trials.leave()
        return {"run": opened.planner.begin(found.job, time.seconds).number}

    @app.exception_handler(Begun)
    async def is_cut(request: Request, error: Begun) -> JSONResponse:
        return JSONResponse({"error": str(error), "begun": True}, 409)

    @app.post("/api/plan/stop")
    def stop(number: Number = None) -> dict[str, Any]:
        desk.at(number).planner.stop()
        return {}

    @app.get("/api/run")
    def run() -> dict[str, Any]:
        run = desk.at().planner.run
        if run is None:
            return {"state": "none", "standings": [], "sketches": 0, "error": None, "run": 0}
        standings = [asdict(s) for s in run.standings]
        return {"run": run.number, "state": run.state, "standings": standings, "sketches": run.sketches, "error": run.error}

    @app.get("/api/plan")
    def plan() -> Looked | None:
        found = at_hand(desk)
        return None if found is None else Looked(boards=woods(found[0]), plan=shown(found[1]))

    @app.get("/api/sets")
    def sets() -> FinishedSets | None:
        """Leaves of panels, books and runs of the plan at hand, as they come to lie."""
        found = at_hand(desk)
        return None if found is None else finished(*found)

    @app.get("/api/piece")
    def piece(name: str) -> About:
        """Why a piece is as it is, and where else it could lie."""
        found = at_hand(desk)
        there = None if found is None else about(*found, name)
        if there is None:
            raise UsageError(f"there is no piece {name} in the plan")
        return there

    @app.get("/api/places")
    def places(piece: str, whole: bool = False) -> Grounds:
        """Where a piece of the plan at hand may lie, or the whole blank that it is in."""
        found = at_hand(desk)
        there = None if found is None else grounds(*found, piece, whole)
        if there is None:
            raise UsageError(f"there is no piece {piece} in the plan")
        return there

    @app.get("/api/wishes")
    def wish(piece: str, board: str, x: str, y: str, whole: bool = False) -> list[dict[str, str]]:
        """Rows of the table of wishes by which a piece, or its whole blank, lies with its corner at x, y on the board."""
        found = at_hand(desk)
        rows = None if found is None else wishes(*found, piece, whole, (board, x, y))
        if rows is None:
            raise UsageError(f"there is no piece {piece} in the plan")
        return rows

    @app.get("/api/packet.pdf")
    def printed(only: str = "", paper: str = "letter") -> Response:
        sections = [s for s in only.split(",") if s]
        return Response(packet(desk.at().folder, sections, paper), media_type="application/pdf")

    @app.get("/api/sections")
    def sections() -> dict[str, Any]:
        from yieldopt.drawing.packet.packet import SECTIONS, USUAL

        return {"sections": SECTIONS, "usual": USUAL}
