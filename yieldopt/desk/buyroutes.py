"""Addresses of what to buy."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.responses import Response

from yieldopt.desk import buying
from yieldopt.desk.bodies import Time
from yieldopt.desk.jobroutes import Number
from yieldopt.desk.setup import Desk


def add_buying(app: FastAPI, desk: Desk) -> None:
    """Asking, how it stands, what it found."""

    @app.post("/api/buy")
    def begin(time: Time, number: Number = None) -> dict[str, Any]:
        desk.buyer.begin(desk.at(number).folder, time.seconds)
        return {}

    @app.get("/api/buy")
    def look() -> dict[str, Any]:
        text, charts = buying.told(desk.at().folder)
        return {"state": desk.buyer.now.state, "error": desk.buyer.now.error, "text": text, "charts": charts}

    @app.get("/api/buy/{name}")
    def chart(name: str) -> Response:
        return Response(buying.chart(desk.at().folder, name), media_type="image/svg+xml", headers={"cache-control": "no-cache"})
