"""`yieldopt new FOLDER`: a job to fill in."""

from __future__ import annotations

import argparse
from pathlib import Path

HELP = "write a blank job: every setting explained, every table with its columns"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder, or one that holds none of a job's files")
    parser.add_argument("--units", choices=("in", "mm"), default="in", help="what a bare number means (default: in)")
    parser.add_argument("--name", metavar="NAME", help="what the job is called (default: the folder's name)")


def run(args: argparse.Namespace) -> int:
    """Write the files, none of them over one that is there, and say what comes next."""
    from yieldopt.ground.errors import UsageError
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.ground.unwritable import refuse_output
    from yieldopt.reading.blank import blank_files

    refuse_output(args.folder, "FOLDER")
    files = blank_files(args.name or args.folder.resolve().name, args.units)
    there = [name for name in files if (args.folder / name).exists()]
    if there:
        raise UsageError(f"{args.folder}: found {', '.join(there)}, expected a folder without a job; nothing was written")
    write_all_atomically(args.folder, files)
    for name in files:
        print(f"written: {args.folder / name}")
    print(f"Fill in parts.csv and boards.csv, then: yieldopt plan {args.folder} --out {args.folder}-plan")
    return 0
