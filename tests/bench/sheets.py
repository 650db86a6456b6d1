"""Published problems of several sheets, planned as boards are: `python tests/bench/sheets.py DIR [--family NAME] [--seconds 20]`.

Every `*.json` below DIR whose `objective` is `min_sheets`, in the form that `published.py` describes, but with

    "items": [{"l", "w", "demand"}]      every piece must be cut
    "stock": [{"L", "W", "copies"}]      one size of sheet, copies null = as many as wanted
    "known": {"guillotine_fixed" | "guillotine_rotated": {"value", "status"}}

is turned into a job of boards exactly alike: no allowances, no limits of machines, a sheet costs 1. `plan_job` gets
as many boards as were published to be enough and one tenth more. Prints sheets cut, the bound, the published number and
seconds; the plan has to pass the check. The planner's kinds of layout are narrower than the published ones, which may be
cut in any number of stages, and each sheet is searched as if it were the only one of its kind.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm
from yieldopt.wood.lumber import Allowances, Board, Job, Kerf, Machines, Part, Shop, Values

# One unit of an instance is the planner's coarsest step, so that its grid is that of the instance.
UNIT = Fraction(1, 8)
# Half a unit of kerf, and every length half a unit less: the same problem as without kerf, which no saw leaves.
KERF = UNIT / 2
NOTHING, WIDE = Fraction(0), Fraction(1000)
BARE = Shop(
    Allowances(*(NOTHING,) * 9),
    Kerf(KERF, KERF, KERF),
    Machines(WIDE, WIDE, "sled", WIDE, KERF, KERF, KERF),
    Values(WIDE, WIDE, NOTHING),
)
HEAD = f"{'name':<18} {'turned':<6} pieces sheets  bound  published {'':<11} seconds"


@dataclass(frozen=True)
class Row:
    sheets: int
    published: int
    placed: bool

    @property
    def reached(self) -> bool:
        return self.placed and self.sheets <= self.published


def job_of(data: dict[str, Any], turned: bool, sheets: int) -> Job:
    """The instance as a job; every length times `UNIT` inch, less `KERF`."""
    inch = Fraction(1)
    grain = "any" if turned else "length"
    parts = tuple(
        Part(f"P{k}", i["demand"], "any", inch / 2, i["w"] * UNIT - KERF, i["l"] * UNIT - KERF, faces=0, grain=grain)  # type: ignore[arg-type]
        for k, i in enumerate(data["items"])
    )
    [stock] = data["stock"]
    boards = tuple(
        Board(
            f"B{k}",
            "any",
            "4/4",
            inch,
            stock["L"] * UNIT - KERF,
            stock["W"] * UNIT - KERF,
            inch / 2,
            stress="no resaw",
            cost=inch,
        )
        for k in range(sheets)
    )
    return Job(data["name"], "in", parts, boards, BARE)


def run(data: dict[str, Any], variant: str, seconds: float) -> Row:
    published = int(data["known"][variant]["value"])
    job = job_of(data, variant.endswith("rotated"), published + ceil(published / 10))
    began = time.monotonic()
    plan = plan_job(job, seconds=seconds).plan
    took = time.monotonic() - began
    breaches = check(job, plan)
    if breaches:
        raise SystemExit(f"{job.name}: {breaches[0]}")
    row = Row(plan.totals.boards_cut, published, plan.complete)
    bound = "-" if plan.totals.bound is None else f"{plan.totals.bound:.2f}"
    missing = sum(u.qty for u in plan.unplaced)
    state = "reached" if row.reached else f"{missing} missing" if missing else "not reached"
    print(
        f"{job.name:<18} {'yes' if variant.endswith('rotated') else 'no':<6} {sum(p.qty for p in job.parts):>6} {row.sheets:>6}"
        f" {bound:>6} {published:>10} {state:<11} {took:>7.1f}",
        flush=True,
    )
    return row


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--family", action="append", default=[], help="only this family (may be repeated)")
    parser.add_argument("--seconds", type=float, default=20.0, help="for each instance and variant")
    args = parser.parse_args()
    warm()
    print(HEAD)
    rows = []
    for path in sorted(args.folder.rglob("*.json")):
        data = json.loads(path.read_text())
        if data.get("objective") != "min_sheets" or (args.family and data["family"] not in args.family):
            continue
        for variant in ("guillotine_fixed", "guillotine_rotated"):
            if data["known"].get(variant, {}).get("status") == "optimal":
                rows.append(run(data, variant, args.seconds))
    print(f"{sum(r.reached for r in rows)} of {len(rows)} reach the proven number of sheets")


if __name__ == "__main__":
    main()
