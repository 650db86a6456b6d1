"""Planning again as the command does it: within its time, and with the page that shows both plans."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.planning.warming import warm
from yieldopt.reading import read_job
from yieldopt.reading.plans import read_plan
from yieldopt.records.history import somebody
from yieldopt.replanning.again import Replanned, replan
from yieldopt.replanning.onfolder import Begun, Ended, replan_into
from yieldopt.replanning.revision_told import changes_page
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.plan import Plan

# What check, pages and files take at the end against all that goes before the search, and the share of the time that is
# searched whatever that takes.
ENDING, LEAST_SEARCH = 0.8, 0.35


@dataclass(frozen=True)
class Effort:
    """The command's deadline, made when it began, its whole time, the search's seed and the price of a chalk line."""

    whole: Deadline
    seconds: float
    seed: int
    mark_price: float


def begun(path: Path, folder: Path | None) -> Begun:
    """The plan so far and its job, by default in the folder `job` beside it. Raises `UsageError` where they don't go together."""
    plan, text = read_plan(path)
    job = read_job(folder or path.parent / "job")
    strangers = sorted({b.board for b in plan.boards} - set(job.board_named))
    if strangers:
        raise UsageError(f"{path}: the plan cuts boards that are not in the job: {', '.join(strangers)}")
    return Begun(path, text, plan, job)


def replan_in_time(was: Begun, out: Path, told: Surprise, effort: Effort, who: str | None) -> Ended:
    """Plan again, check and write to `out`. Raises as `replan_into`."""
    warm()
    whole = effort.whole
    # Check, pages and files take about as much again as beginning did, on a busy machine too.
    ending = ENDING * (effort.seconds - whole.left)

    def planner(happened: Surprise) -> Replanned:
        seconds = max(LEAST_SEARCH * effort.seconds, whole.left - ending)
        return replan(was.job, was.plan, happened, seconds=seconds, seed=effort.seed, mark_price=effort.mark_price)

    def beside(result: Replanned, new: Plan) -> dict[str, str | bytes]:
        if new.revision == was.plan.revision:
            return {}
        return {"changes.html": changes_page(was.job, was.plan, result, new)}

    return replan_into(was, out, told, planner, who or somebody(), beside, whole)
