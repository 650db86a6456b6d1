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
    import textwrap

    from yieldopt.commands.remarks import say_remarks
    from yieldopt.errors import UsageError
    from yieldopt.insight.explaining import explain_part
    from yieldopt.lengths import show
    from yieldopt.reading import read_job

    job = read_job(args.job)
    say_remarks(job)
    wanted = args.part or [p.name for p in job.parts]
    strangers = [name for name in wanted if name not in job.part_named]
    if strangers:
        has = ", ".join(p.name for p in job.parts)
        raise UsageError(f"no part is named {', '.join(map(repr, strangers))}; the job has {has}")
    for part in (p for p in job.parts if p.name in wanted):
        sizes = " x ".join(show(s, job.units) for s in (part.thickness, part.width, part.length))
        group = f", {part.match_kind} group {part.match}" if part.match else ""
        print(f"{part.name}: {part.qty} of {part.species}, finished {sizes}{group}")
        topic = ""
        for line in explain_part(part, job):
            label = f"{line.topic:>11}  " if line.topic != topic else " " * 13
            topic = line.topic
            print(textwrap.fill(line.text, 120, initial_indent=label, subsequent_indent=" " * 15))
        print()
    return 0
