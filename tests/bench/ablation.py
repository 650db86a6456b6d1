"""Which idea buys how much: `python tests/bench/ablation.py [--family shop] [--seeds 3] [--seconds 10] [--only NAME ...]`.

The same jobs planned with everything, and with one thing at a time taken out of the search: cost, bound and gap, and at the
end for each the median gap, and by how much cost and bound are worse in the mean. The switches are for this bench alone.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from math import inf
from pathlib import Path
from typing import Any
from unittest import mock

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import FAMILIES
from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.planning.layouts import arcs
from yieldopt.planning.master import paths, programme, recombine
from yieldopt.planning.pricing import context
from yieldopt.planning.search import branch, component, generate, neighbourhood
from yieldopt.planning.tuning import USUAL, Freeing, Pricing, Tuning
from yieldopt.planning.warming import warm

# What is patched: (owner, attribute, what takes its place).
Patch = tuple[Any, str, Any]


def _whole_columns(column: Any, stocks: Any) -> list[Any]:
    """A column as one arc, its sections not taken apart."""
    return [arcs.Arc(column.stock, -inf, inf, column.gives, float(column.layout.credit(stocks[column.stock])), column)]


def _one_component(whole: Any) -> list[Any]:
    return [replace(whole)]


SWITCHES: dict[str, tuple[Patch, ...]] = {
    "everything": (),
    "no branching on boards": ((branch.Branching, "done", property(lambda _self: True)),),
    "no branching on copies": ((branch.Splitting, "_open_copies", lambda *_: None),),
    "no choices out of nodes": ((branch.Branching, "_rounded", lambda *_: None),),
    "no neighbourhoods": ((neighbourhood.Neighbourhoods, "step", lambda _self, now: now),),
    "boards freed evenly": (),
    "short at the penalty": ((context, "at_first", lambda rows, *_: (inf,) * len(rows)),),
    "all items priced": (),
    "no demand caps": (
        (generate.Counting, "add", lambda _self, _column: False),
        (generate.Counting, "group", lambda _self, _stock, _group: None),
        (programme.Master, "_add_caps", lambda _self: False),
    ),
    "no recombining of sections": ((arcs, "arcs_of", _whole_columns), (recombine, "arcs_of", _whole_columns)),
    "no labels": ((recombine, "cheapest", lambda *_: paths.Found((), False)),),
    "no dive": ((component, "dive", lambda *_: None),),
    "no components": ((context.Context, "components", _one_component),),
}


# What is tuned otherwise.
TUNED = {
    "boards freed evenly": Tuning(freeing=Freeing(guided=0.0)),
    "all items priced": Tuning(pricing=Pricing(narrow=-1.0)),
}


@contextmanager
def without(name: str) -> Iterator[None]:
    """The planner with the things that `name` stands for taken out. Raises `AttributeError` where one is no more."""
    with ExitStack() as stack:
        for owner, attribute, other in SWITCHES[name]:
            getattr(owner, attribute)
            stack.enter_context(mock.patch.object(owner, attribute, other))
        yield


Figures = tuple[float | None, float | None, float | None]


def measure(name: str, make: Callable[[], Any], seconds: float) -> Figures:
    """Cost (None while a part is missing), bound and gap of one job."""
    job = make()
    with without(name):
        plan = plan_job(job, seconds=seconds, tuning=TUNED.get(name, USUAL)).plan
    breaches = check(job, plan)
    if breaches:
        raise SystemExit(f"{name}, {job.name}: {breaches[0]}")
    t = plan.totals
    return (t.net_cost if plan.complete else None), t.bound, t.gap


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--family", choices=sorted(FAMILIES), default="shop")
    parser.add_argument("--seeds", type=int, default=3, help="how many jobs, from seed 1")
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--only", action="append", choices=sorted(SWITCHES), help="only this, beside everything")
    args = parser.parse_args()
    warm()
    rows: dict[str, list[Figures]] = {}
    print(f"{'':<28} {'seed':>4} {'cost':>10} {'bound':>10} {'gap':>8}")
    for name in SWITCHES:
        if args.only and name not in (*args.only, "everything"):
            continue
        for seed in range(1, args.seeds + 1):
            figures = measure(name, lambda seed=seed: FAMILIES[args.family](seed), args.seconds)
            rows.setdefault(name, []).append(figures)
            words = (
                "-" if v is None else form.format(v) for v, form in zip(figures, ("{:.2f}", "{:.2f}", "{:.2%}"), strict=True)
            )
            print(f"{name:<28} {seed:>4} " + " ".join(f"{w:>{n}}" for w, n in zip(words, (10, 10, 8), strict=True)), flush=True)
    print(f"\n{'':<28} {'median gap':>10} {'dearer':>8} {'bound lower':>12} {'incomplete':>10}")
    for name, figures in rows.items():
        gaps = [g for *_, g in figures if g is not None]
        median = f"{statistics.median(gaps):.2%}" if gaps else "-"
        dearer, lower = (mean_change([f[k] for f in rows["everything"]], [f[k] for f in figures]) for k in (0, 1))
        shares = ["-" if v is None else f"{v:.2%}" for v in (dearer, None if lower is None else -lower)]
        print(f"{name:<28} {median:>10} {shares[0]:>8} {shares[1]:>12} {sum(f[0] is None for f in figures):>10}")


def mean_change(before: list[float | None], after: list[float | None]) -> float | None:
    """Mean relative change over the jobs that have both figures."""
    both = [(a, b) for a, b in zip(before, after, strict=True) if a and b]
    return statistics.fmean(b / a - 1 for a, b in both) if both else None


if __name__ == "__main__":
    main()
