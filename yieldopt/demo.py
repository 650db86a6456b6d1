"""The demo shop: where its plain text lies, in a checkout or in an installed wheel, and what its demo says."""

from __future__ import annotations

from pathlib import Path

from yieldopt.ground.errors import UsageError
from yieldopt.insight.second_choice import summary as second_summary
from yieldopt.insight.unpriced import cost_unknown
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

# The job that `yieldopt demo` plans; `inventory/` holds others.
MAIN_JOB = "sideboard"


def inventory() -> Path:
    """The folder with the demo shop's jobs: `yieldopt/inventory` in a wheel, `inventory` at the top of a checkout.

    Raises `UsageError` if neither is there (an installation without its data).
    """
    package = Path(__file__).resolve().parent
    for folder in (package / "inventory", package.parent / "inventory"):
        if (folder / MAIN_JOB / "job.toml").is_file():
            return folder
    raise UsageError("the demo shop is missing from this installation; install yieldopt again from its wheel or a checkout")


def summary(job: Job, plan: Plan, folder: Path) -> list[str]:
    """What the demo prints: figures of the plan, then what to open first."""
    t = plan.totals
    rows = [("Net cost", f"{t.net_cost:.2f}   boards cut, less kept offcuts")]
    if unknown := cost_unknown(job, plan):
        rows = [("Cost", unknown)]
    if t.bound is not None and t.gap is not None:
        rows.append(("Bound", f"{t.bound:.2f}   no layout of the kinds considered costs less"))
        rows.append(("Gap", f"{100 * t.gap:.1f} %   so much could still be saved at most"))
    rows.append(("Yield", f"{100 * t.yield_:.1f} %   finished parts, of the wood used up"))
    rows.append(("Boards", f"{len(plan.boards)} of {len(job.boards)} cut"))
    rows.append(("Checked", "every rule kept, by code that shares nothing with the planner"))
    rows.append(("Show", second_summary(job, plan)))
    rows.append(("Search", f"{t.seconds:.0f} s"))
    lines = [f"  {name:<9}{text}" for name, text in rows]
    lines += [f"  INCOMPLETE: {u.qty} of {u.part} unplaced: {u.why}" for u in plan.unplaced]
    lines += ["Open first:", f"  {folder / 'packet.html'}   (packet.pdf is the same, to print)"]
    lines += [f"Then {folder / 'sheets'}: a chalk sheet a board; {folder / 'job'}: the job, to change and plan again."]
    return lines
