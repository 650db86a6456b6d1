"""`yieldopt desk`: the page for the desk."""

from __future__ import annotations

import argparse
from pathlib import Path

from yieldopt.ground.errors import UsageError

HELP = "the page for the desk: write the parts list, plan, look at the boards"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", metavar="FOLDER", type=Path, nargs="?", help="the job folder (default: choose among the jobs that there are)"
    )
    parser.add_argument("--port", type=int, default=0, metavar="N", help="port to listen at (default: any free one)")
    parser.add_argument("--no-browser", action="store_true", help="don't open a browser; the address is printed")


def run(args: argparse.Namespace) -> int:
    """Serve until told to stop; exit status."""
    from yieldopt.demo import MAIN_JOB, inventory
    from yieldopt.desk.serving import serve
    from yieldopt.desk.shelf import Shelf, usual_place

    if args.folder is not None and not (args.folder / "job.toml").is_file():
        raise UsageError(f"{args.folder} has no job.toml: begin a job with yieldopt new {args.folder}")
    if not 0 <= args.port <= 65535:
        raise UsageError(f"--port: found {args.port}, expected 0 to 65535")
    serve(args.folder, Shelf(usual_place(), demo=inventory() / MAIN_JOB), args.port, not args.no_browser)
    return 0
