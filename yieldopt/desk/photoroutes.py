"""Addresses of the photos of boards."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from yieldopt.desk import photos
from yieldopt.desk.jobroutes import Number
from yieldopt.desk.setup import Desk

MINUTE = {"cache-control": "private, max-age=60"}


def add_photos(app: FastAPI, desk: Desk) -> None:
    """Taking one in, and looking at one, as it is and drawn straight."""

    @app.post("/api/photos")
    async def take_in(request: Request, name: str = "board.jpg", number: Number = None) -> dict[str, Any]:
        """The body is the photo's bytes; the answer is its name in the folder."""
        folder, content = desk.at(number).folder, await request.body()
        return {"name": await run_in_threadpool(photos.take_in, folder, name, content)}

    @app.get("/api/photos/{name}")
    def upright(name: str) -> Response:
        return Response(photos.upright(desk.at().folder, name), media_type="image/jpeg", headers=MINUTE)

    @app.get("/api/straight")
    def straight(fit: str, own: str, across: int) -> Response:
        """A board's face drawn straight from its photo; the address comes with the board."""
        try:
            shares = [float(v) for v in own.split()]
        except ValueError:
            shares = []
        return Response(photos.straight(desk.at().folder, fit, shares, across), media_type="image/jpeg", headers=MINUTE)
