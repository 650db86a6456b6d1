"""`yieldopt history`: every plan of a job, what had happened before it, who told it and when."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.records.sections import Entry

HELP = "every plan of a job: what had happened, who told it, when"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--sheet", type=int, metavar="N", help="say whether a sheet of revision N is still good")


def run(args: argparse.Namespace) -> int:
    """Print it; with `--sheet` 0: the sheet is the newest, 1: it is superseded."""
    from yieldopt.reading.plans import read_plan
    from yieldopt.records.history import entries, standing_of

    plan, _ = read_plan(args.plan)
    if args.sheet is not None:
        said = standing_of(plan, args.sheet)
        print(said or f"This sheet is of revision {plan.revision}, the newest.")
        return 1 if said else 0
    for e in entries(plan):
        print(_line(e))
        for text in e.told:
            print(f"    {text}")
    return 0


def _line(e: Entry) -> str:
    when = e.when.replace("T", " ").replace("+00:00", " UTC") or "time not known"
    cost = "" if e.net_cost is None else f", net cost {e.net_cost:.2f}"
    missing = f", {e.unplaced} parts without a place" if e.unplaced else ""
    return f"revision {e.revision}: {when}, {e.who or 'by whom is not known'}{cost}{missing}"
