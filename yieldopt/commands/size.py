"""`yieldopt size JOB`: the rough size of every part, and why."""

from __future__ import annotations

import argparse
from pathlib import Path

HELP = "show the rough size and thickness every part needs, with the reason for each figure"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", type=Path, metavar="JOB", help="the job folder")
    parser.add_argument("--part", action="append", metavar="NAME", help="only this part; may be given several times")


def run(args: argparse.Namespace) -> int:
    """Print the explanation of each part asked for, in the order of the parts list."""
    from yieldopt.commands.remarks import say_remarks
    from yieldopt.insight.parts_told import parts_told
    from yieldopt.reading import read_job

    job = read_job(args.job)
    say_remarks(job)
    print("\n".join(parts_told(job, args.part)))
    return 0
