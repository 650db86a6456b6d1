"""How near the planner comes to its own bound: `python tests/bench/gaps.py [--family shop] [--seeds 5] [--seconds 10]`.

One line a job: net cost, proven bound, gap, seconds until the first complete plan and in all, peak memory of the process.
Each job runs in a process of its own, one after another, so that memory is its own. Figures, not tests.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import FAMILIES
from yieldopt.checking import check
from yieldopt.lumber import Job
from yieldopt.planning import plan_job
from yieldopt.workers.executors import Workers, executor_of

HEAD = f"{'job':<24} boards pieces   net cost      bound     gap   first   total     MB missing"


def measure(job: Job, seconds: float, seed: int = 0) -> dict[str, float | str | None]:
    """Plan one job and say how it went; the plan has to pass the check."""
    from yieldopt.planning.warming import warm

    warm()
    with executor_of(Workers()) as executor:
        result = plan_job(job, seconds=seconds, seed=seed, executor=executor)
    breaches = check(job, result.plan)
    if breaches:
        raise SystemExit(f"{job.name}: {breaches[0]}")
    t = result.plan.totals
    return {
        "job": job.name,
        "boards": len(job.boards),
        "pieces": sum(p.qty for p in job.parts),
        "cost": t.net_cost,
        "bound": t.bound,
        "gap": t.gap,
        # The history holds a cost only once every part is placed.
        "first": next((p.seconds for p in result.history if p.cost is not None), None),
        "total": t.seconds,
        "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "missing": sum(u.qty for u in result.plan.unplaced),
    }


def line(row: dict[str, float | str | None]) -> str:
    def figure(name: str, form: str, width: int) -> str:
        value = row[name]
        return f"{'-' if value is None else format(value, form):>{width}}"

    return " ".join(
        [f"{row['job']:<24}", figure("boards", "d", 6), figure("pieces", "d", 6), figure("cost", ".2f", 10),
         figure("bound", ".2f", 10), figure("gap", ".2%", 7), figure("first", ".1f", 7), figure("total", ".1f", 7),
         figure("memory", ".0f", 6), figure("missing", "d", 7)]
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--family", choices=sorted(FAMILIES), default="shop")
    parser.add_argument("--seeds", type=int, default=5, help="how many jobs, from seed 1")
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--one", type=int, metavar="SEED", help="run this job in this process and print JSON")
    args = parser.parse_args()
    if args.one is not None:
        print(json.dumps(measure(FAMILIES[args.family](args.one), args.seconds)))
        return
    print(HEAD)
    for seed in range(1, args.seeds + 1):
        words = ["--family", args.family, "--seconds", str(args.seconds), "--one", str(seed)]
        done = subprocess.run([sys.executable, __file__, *words], capture_output=True, text=True)
        if done.returncode:
            print(f"{args.family} {seed}: {done.stderr.strip().splitlines()[-1]}")
            continue
        print(line(json.loads(done.stdout)), flush=True)


if __name__ == "__main__":
    main()
