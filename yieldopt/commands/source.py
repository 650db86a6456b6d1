"""`yieldopt source JOB`: resaw 8/4 or buy 4/4, which grade, how much."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

HELP = "decide what to buy: resaw 8/4 or buy thin, at which price it turns, which grade, how much"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", type=Path, help="the job folder, with prices.csv")
    parser.add_argument(
        "--out", type=Path, required=True, metavar="DIR", help="where to write source.json, source.txt and ways.svg"
    )
    parser.add_argument("--seconds", type=float, default=120.0, metavar="S", help="how long to study (default: 120)")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number draws other boards (default: 0)")
    parser.add_argument(
        "--chance", type=float, default=0.95, metavar="P", help="how often the purchase must suffice (default: 0.95)"
    )
    parser.add_argument(
        "--draws", type=int, default=200, metavar="N", help="draws of boards for the purchase, at most (default: 200)"
    )
    parser.add_argument(
        "--hidden",
        type=float,
        default=0.02,
        metavar="R",
        help="flaws a square foot that planing uncovers (default: 0.02; an assumption)",
    )
    parser.add_argument("--tested", action="store_true", help="boards to be bought are stress-tested and flat after it")
    parser.add_argument("--quiet", action="store_true", help="show no progress")


def run(args: argparse.Namespace) -> int:
    """Study, write, print; exit status 0 (Ctrl-C: what has been found so far is written, 130)."""
    import json

    from yieldopt.errors import UsageError
    from yieldopt.files import write_all_atomically
    from yieldopt.reading import read_job
    from yieldopt.sourcing.chart import chart_svg
    from yieldopt.sourcing.findings import to_json
    from yieldopt.sourcing.report import report
    from yieldopt.sourcing.study import Asked, study

    for name, value, least, most in (
        ("--seconds", args.seconds, 1, 86_400), ("--chance", args.chance, 0.01, 0.999), ("--draws", args.draws, 20, 100_000),
        ("--hidden", args.hidden, 0, 10),
    ):  # fmt: skip
        if not least <= value <= most:
            raise UsageError(f"{name}: found {value:g}, expected {least:g} to {most:g}")
    job = read_job(args.job)
    asked = Asked(args.seconds, args.seed, args.chance, args.draws, args.hidden, "tested" if args.tested else "unknown")
    found = study(job, asked, (lambda _: None) if args.quiet else lambda line: print(line, file=sys.stderr, flush=True))
    text = "\n".join(report(found)) + "\n"
    files: dict[str, str | bytes] = {
        "source.json": json.dumps(to_json(found), indent=1, ensure_ascii=False, allow_nan=False) + "\n",
        "source.txt": text,
    }
    chart = chart_svg(found)
    if chart is not None:
        files["ways.svg"] = chart
    write_all_atomically(args.out, files)
    print(text, end="")
    return 130 if found.stopped else 0
