"""Threads beside processes: `python tests/bench/workers.py [--family shop] [--seeds 3] [--steps 12] [--workers 2]`.

Seconds for the same steps of the search by one thread, by threads and by processes, starting them included; the plans are
the same, or it says so.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import FAMILIES
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm
from yieldopt.workers.executors import Workers, executor_of


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--family", choices=sorted(FAMILIES), default="shop")
    parser.add_argument("--seeds", type=int, default=3, help="how many jobs, from seed 1")
    parser.add_argument("--steps", type=int, default=12)
    parser.add_argument("--workers", type=int, default=2)
    args = parser.parse_args()
    warm()
    kinds = {
        "1 thread": Workers(1, processes=False),
        "threads": Workers(args.workers, processes=False),
        "processes": Workers(args.workers, processes=True),
    }
    print(f"{'job':<20} " + " ".join(f"{name:>10}" for name in kinds) + "  plans")
    for seed in range(1, args.seeds + 1):
        job, taken, plans = FAMILIES[args.family](seed), [], []
        for workers in kinds.values():
            began = time.monotonic()
            with executor_of(workers) as executor:
                plans.append(plan_job(job, seconds=600, steps=args.steps, executor=executor).plan.boards)
            taken.append(time.monotonic() - began)
        same = "the same" if all(p == plans[0] for p in plans) else "DIFFERENT"
        print(f"{job.name:<20} " + " ".join(f"{t:>10.2f}" for t in taken) + f"  {same}", flush=True)


if __name__ == "__main__":
    main()
