"""Addresses for choosing a job: those known, a new one, the demo's."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI

from yieldopt.desk.bodies import Folder, New
from yieldopt.desk.setup import Desk, Opened


def add_shelf(app: FastAPI, desk: Desk) -> None:
    """The jobs that there are, and opening one."""

    def told(opened: Opened) -> dict[str, Any]:
        return {"job": opened.number}

    @app.get("/api/shelf")
    def shelf() -> dict[str, Any]:
        """The jobs, where new ones go, and which is open."""
        now = desk.now
        jobs = [k.model_dump() for k in desk.shelf.jobs()]
        return {"jobs": jobs, "beside": str(desk.shelf.beside), "open": str(now.folder.resolve()) if now else None}

    @app.post("/api/shelf/open")
    def open_known(body: Folder) -> dict[str, Any]:
        return told(desk.open(desk.shelf.known(body.folder)))

    @app.post("/api/shelf/new")
    def begin_new(body: New) -> dict[str, Any]:
        return told(desk.open(desk.shelf.new(body.name, body.units)))

    @app.post("/api/shelf/demo")
    def try_demo() -> dict[str, Any]:
        return told(desk.open(desk.shelf.demo()))
