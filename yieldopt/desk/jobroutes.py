"""Addresses of the job's tables: as they are, what is wrong with them, keeping them; and its boards."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import FastAPI, Header, Request
from fastapi.responses import JSONResponse

from yieldopt.desk.bodies import Tables
from yieldopt.desk.mistakes import judged
from yieldopt.desk.setup import Desk
from yieldopt.desk.show import woods
from yieldopt.desk.tables import LEAVE, TABLES, ChangedMeanwhile, Grid, load, save
from yieldopt.reading.settings import settings_in
from yieldopt.wood.lumber import DEFECT_KINDS

# Which of the jobs opened in this run a window has.
Number = Annotated[str | None, Header(alias="x-yieldopt-job")]


def _said(grids: dict[str, Grid]) -> dict[str, Any]:
    return {stem: asdict(grid) for stem, grid in grids.items()}


def add_job(app: FastAPI, desk: Desk) -> None:
    """The tables."""

    @app.get("/api/job")
    def job() -> dict[str, Any]:
        opened = desk.at()
        settings = settings_in(opened.folder, [])
        known = {stem: {"needed": c.needed, "optional": c.optional} for stem, c in TABLES.items()}
        known[LEAVE] = {"needed": ("board",), "optional": ()}
        return {
            "job": opened.number,
            "name": settings.name,
            "folder": str(opened.folder.resolve()),
            "units": settings.units,
            "tables": _said(load(opened.folder)),
            "columns": known,
            "kinds": sorted(DEFECT_KINDS),
        }

    @app.post("/api/check")
    def check(typed: Tables, number: Number = None) -> dict[str, Any]:
        found = judged(desk.at(number).folder, typed.grids())
        boards = woods(found.job) if found.job else None
        return {"mistakes": [asdict(m) for m in found.mistakes], "remarks": found.remarks, "boards": boards}

    @app.put("/api/tables")
    def keep(typed: Tables, number: Number = None) -> dict[str, Any]:
        return _said(save(desk.at(number).folder, typed.grids()))

    @app.exception_handler(ChangedMeanwhile)
    async def changed(request: Request, error: ChangedMeanwhile) -> JSONResponse:
        return JSONResponse({"error": str(error), "theirs": _said(error.theirs)}, 409)
