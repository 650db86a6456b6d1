"""Jobs that make planners explode: `python tests/bench/hostile.py [--seconds 20] [--only NAME ...]`.

One line a job: parts missing, seconds until the first complete plan and in all, peak memory, gap. Each in a process of its
own. The plan has to pass the check.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction as F
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.gaps import HEAD, line, measure
from yieldopt.wood.lumber import Board, Defect, Job, Part


def board(name: str = "B", length: int = 60, width: int = 7, cost: int = 20, defects: tuple[Defect, ...] = ()) -> Board:
    return Board(name, "oak", "4/4", F(1), F(length), F(width), F(1), cost=F(cost), defects=defects)


def part(name: str = "rail", qty: int = 1, width: F | int = 2, length: F | int = 20) -> Part:
    return Part(name, qty, "oak", F(3, 4), F(width), F(length))


def job(parts: list[Part], boards: list[Board]) -> Job:
    return Job("hostile", "in", tuple(parts), tuple(boards))


def speckled(n: int) -> Job:
    """A board with n small defects in two rows, and parts that fit between."""
    marks = tuple(Defect("worm", "both", F(4 + k % (n // 2), 8), F(1 if k % 2 else 5), F(1, 8), F(1, 8)) for k in range(n))
    return job([part(qty=4)], [board(length=100, width=8, defects=marks), board("clear", 50, cost=90)])


def scattered(n: int) -> Job:
    """A wide board with n small defects all over: hardly any place for anything."""
    marks = tuple(Defect("worm", "both", F(k * 37 % 1500, 8), F(k * 11 % 112, 8), F(1, 8), F(1, 8)) for k in range(n))
    return job([part(qty=4), part("slat", 3, 1, 15)], [board(length=190, width=14, cost=150, defects=marks), board("clear", 90)])


def alike(n: int) -> Job:
    return job([part(qty=30), part("stile", 20, 3, 31)], [board(f"B{k}") for k in range(n)])


def hair_apart(kinds: int, boards: int) -> Job:
    parts = [part(f"P{k}", 2, F(2) + F(k, 64), F(20) + F(k, 64)) for k in range(kinds)]
    return job(parts, [board(f"B{k}", 96, 8) for k in range(boards)])


def long_board() -> Job:
    """40 ft by 2 ft: forty thousand places for every part."""
    return job([part(qty=60), part("stile", 40, 3, 31)], [board(length=480, width=24, cost=400)])


HOSTILE: dict[str, Callable[[], Job]] = {
    "1000 defects": lambda: speckled(1000),
    "1000 scattered": lambda: scattered(1000),
    "100 boards alike": lambda: alike(100),
    "quantity 500": lambda: job([part("slat", 500)], [board(f"B{k}", 120, 9, 40) for k in range(40)]),
    "24 parts 1/64 apart": lambda: hair_apart(24, 12),
    "a board of 40 ft": long_board,
    "all of it": lambda: job(
        [*hair_apart(10, 1).parts, part("slat", 500, 1, 16), part("stile", 20, 3, 31)],
        [
            *alike(100).boards,
            board("long", 480, 24, 400),
            board("speckled", 190, 14, 150, scattered(1000).boards[0].defects),
        ],
    ),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--only", action="append", choices=sorted(HOSTILE))
    parser.add_argument("--one", metavar="NAME", help="run this job in this process and print JSON")
    args = parser.parse_args()
    if args.one:
        print(json.dumps({**measure(HOSTILE[args.one](), args.seconds), "job": args.one}))
        return
    print(HEAD)
    for name in args.only or HOSTILE:
        words = ["--seconds", str(args.seconds), "--one", name]
        done = subprocess.run([sys.executable, __file__, *words], capture_output=True, text=True)
        if done.returncode:
            print(f"{name:<24} {(done.stderr.strip() or f'ended by signal {-done.returncode}').splitlines()[-1]}", flush=True)
        else:
            print(line(json.loads(done.stdout)), flush=True)


if __name__ == "__main__":
    main()
