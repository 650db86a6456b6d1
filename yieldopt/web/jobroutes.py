"""Addresses of the jobs: what they need, and whether some boards are enough."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI

from yieldopt.ground.errors import UsageError
from yieldopt.web import answers
from yieldopt.web.answers import WRITING, refusals
from yieldopt.web.app import Setup
from yieldopt.web.asking import Ask, Asking
from yieldopt.web.bodies import Name, Place, Question


def enough_json(ask: Ask) -> dict[str, Any]:
    """How a question stands."""
    best = ask.best
    return {
        "ask": ask.name,
        "state": ask.state,
        "answer": ask.answer,
        "words": ask.words,
        "wanted": ask.wanted,
        "placed": ask.wanted - ask.lacking,
        "missing": [
            {"part": part, "qty": qty, "why": ask.certain.get(part, why), "certain": part in ask.certain}
            for part, qty, why in (best.missing if best else ())
        ],
        "shopping": list(best.shopping) if best else [],
        "net_cost": best.net_cost if best else None,
        "boards": list(best.boards) if best else [],
        "seconds": ask.seconds,
        "better": ask.better,
        "chosen": ask.chosen,
        "held": [{"board": board, "job": job} for board, job in ask.held],
        "unknown": ask.unknown,
        "error": ask.error,
    }


def add_jobs(app: FastAPI, setup: Setup, asking: Asking) -> None:
    """The jobs."""

    @app.get("/api/jobs", responses=refusals())
    def jobs() -> list[dict[str, Any]]:
        """The jobs, with what the phone's own tests need."""
        return setup.jobs.offers(setup.rack)

    @app.post("/api/jobs/{number}/enough", response_model=answers.Enough, responses=refusals(404, *WRITING))
    def enough(number: Place, body: Question) -> dict[str, Any]:
        """Is this enough for the job? The search goes on in the background for as long as somebody asks how it stands."""
        found = setup.jobs.choose(number, setup.rack, body.boards, body.all_but or ())
        if not found.chosen:
            raise UsageError("none of the boards chosen is on the rack" if found.unknown else "no boards were chosen")
        ask = asking.ask(found.job, found.chosen, found.held, found.unknown)
        if body.wait:
            with ask.changed:
                ask.changed.wait_for(lambda: ask.answer != "not known" or ask.state == "done", body.wait)
        return enough_json(ask)

    @app.get("/api/jobs/{number}/enough/{ask}", response_model=answers.Enough, responses=refusals(404, 422))
    def so_far(number: Place, ask: Name) -> dict[str, Any]:
        """How a question stands by now."""
        return enough_json(asking.look(ask))
