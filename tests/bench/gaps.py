"""How near the planner comes to its own bound: `python tests/bench/gaps.py [FOLDER ...] [--family shop] [--seeds 5]`.

One line a job: net cost, proven bound, gap, seconds until the first complete plan and in all, peak memory of the process;
then, for each kind of job, the median and the worst gap. Job folders are named, or the families of `families.py` are drawn
from; a folder `long-7` counts as of the family `long`. Each job runs in a process of its own, one after another, so that
memory is its own. Figures, not tests.
"""

from __future__ import annotations

import argparse
import json
import resource
import statistics
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import FAMILIES
from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.reading.job import read_job
from yieldopt.wood.lumber import Job
from yieldopt.workers.executors import Workers, executor_of

# Seconds that a job of each family is given, unless told otherwise.
SECONDS = {
    "shop": 10, "few": 10, "dense": 10, "shorts": 10, "scarce": 10,
    "many": 20, "long": 20, "wide": 20, "piece": 30, "mixed": 30, "rack": 60, "yard": 300,
}  # fmt: skip
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


def job_at(what: str) -> Job:
    """The job of a folder, or of a family and seed: `shop:3`."""
    family, _, seed = what.partition(":")
    return FAMILIES[family](int(seed)) if family in FAMILIES else read_job(Path(what))


def family_of(what: str) -> str:
    """The family that a job is of, by its name; the name itself where it is of none."""
    return Path(what).name.partition(":")[0].partition("-")[0]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="*", help="job folders; none: the families asked for")
    parser.add_argument("--family", choices=sorted(FAMILIES), nargs="+", default=["shop"])
    parser.add_argument("--seeds", type=int, default=5, help="how many jobs of each family, from --first")
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--seconds", type=float, help="for each job; as a rule what its family is given")
    parser.add_argument("--one", action="store_true", help="run this one job in this process and print JSON")
    args = parser.parse_args()
    seeds = range(args.first, args.first + args.seeds)
    jobs = args.folders or [f"{family}:{seed}" for family in args.family for seed in seeds]
    if args.one:
        print(json.dumps(measure(job_at(jobs[0]), args.seconds)))
        return
    print(HEAD)
    gaps: dict[str, list[float]] = {}
    for what in jobs:
        seconds = args.seconds or SECONDS.get(family_of(what), 20)
        words = [what, "--seconds", str(seconds), "--one"]
        done = subprocess.run([sys.executable, __file__, *words], capture_output=True, text=True)
        if done.returncode:
            print(f"{what}: {done.stderr.strip().splitlines()[-1]}")
            continue
        row = json.loads(done.stdout)
        print(line(row), flush=True)
        gaps.setdefault(family_of(what), []).append(float("inf") if row["gap"] is None else row["gap"])
    for family, found in gaps.items():
        print(f"{family:<24} median {statistics.median(found):.2%}, worst {max(found):.2%} of {len(found)}")


if __name__ == "__main__":
    main()
