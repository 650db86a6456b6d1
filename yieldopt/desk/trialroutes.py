"""Addresses of planning on trial, and of two plans beside each other."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from pydantic import BaseModel

from yieldopt.desk.bodies import Taken, Tried
from yieldopt.desk.comparing import Compared, compared
from yieldopt.desk.jobroutes import Number
from yieldopt.desk.kept import kept_plan, plans_there
from yieldopt.desk.mistakes import judged
from yieldopt.desk.setup import Desk
from yieldopt.desk.trying import Attempt
from yieldopt.ground.errors import UsageError
from yieldopt.replanning.revision_told import summary


class Trying(BaseModel):
    """How a trial stands; `told` is what the command would print of it."""

    trial: int
    state: str
    error: str | None = None
    told: list[str] = []
    found: Compared | None = None


def _said(trial: Attempt) -> Trying:
    if trial.result is None:
        return Trying(trial=trial.number, state=trial.state, error=trial.error)
    was, r = trial.begun, trial.result
    found = compared((was.job, was.plan), (r.job, r.plan))
    return Trying(trial=trial.number, state=trial.state, told=summary(was.job, was.plan, r), found=found)


def add_trials(app: FastAPI, desk: Desk) -> None:
    """Attempts, and comparing."""

    @app.post("/api/trial")
    def begin(body: Tried, number: Number = None) -> Trying:
        """Plan round these tables from the plan at hand, after what the lines tell; nothing is written."""
        opened = desk.at(number)
        run = opened.planner.run
        if run is not None and run.state == "running":
            raise UsageError("a plan is being made: end that first")
        found = judged(opened.folder, body.grids())
        if found.job is None:
            raise UsageError("the tables have mistakes: mend them first")
        return _said(opened.trials.begin(found.job, body.lines))

    @app.get("/api/trial")
    def look() -> Trying | None:
        trial = desk.at().trials.now
        return None if trial is None else _said(trial)

    @app.post("/api/trial/take")
    def take(body: Taken, number: Number = None) -> dict[str, Any]:
        """Write the plan that was tried."""
        return {"revision": desk.at(number).trials.take(body.trial).plan.revision}

    @app.post("/api/trial/leave")
    def leave(number: Number = None) -> dict[str, Any]:
        desk.at(number).trials.leave()
        return {}

    @app.get("/api/plans")
    def plans() -> list[dict[str, Any]]:
        """The plans in the job's folder, the one at hand first."""
        return [{"plan": n, "words": words} for n, (words, _) in enumerate(plans_there(desk.at().folder))]

    @app.get("/api/compare")
    def compare(first: int, second: int) -> Compared:
        there = plans_there(desk.at().folder)
        if not (0 <= first < len(there) and 0 <= second < len(there)):
            raise UsageError("there is no such plan in the job's folder")
        sides = [kept_plan(desk.at().folder, there[n][1]) for n in (first, second)]
        if sides[0] is None or sides[1] is None:
            raise UsageError("there is no such plan in the job's folder any more")
        return compared(sides[0], sides[1])
