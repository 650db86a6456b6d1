"""`yieldopt source JOB`: resaw 8/4 or buy 4/4, which grade, how much, which boards."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.sourcing.asked import Asked
    from yieldopt.wood.lumber import Job

HELP = "decide what to buy: resaw 8/4 or buy thin, at which price it turns, which grade, how much, which boards"

# A day.
MOST_SECONDS = 86_400.0
SECONDS = 300.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", type=Path, help="the job folder, with prices.csv")
    parser.add_argument(
        "--out", type=Path, required=True, metavar="DIR", help="where to write source.json, source.txt, ways.svg and chance.svg"
    )
    parser.add_argument("--rack", metavar="FILE", help="the boards of this rack instead of the folder's, and its own late flaws")
    parser.add_argument("--seconds", type=float, metavar="S", help="how long to study (default: 300; with --steps a day)")
    parser.add_argument("--steps", type=int, metavar="N", help="so many plans instead of seconds: the same on any machine")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number gives other trials (default: 0)")
    parser.add_argument(
        "--chance", type=float, default=0.95, metavar="P", help="how often the purchase must be enough (default: 0.95)"
    )
    parser.add_argument(
        "--draws", type=int, default=200, metavar="N", help="trials of the purchase, at most (default: 200)"
    )
    parser.add_argument(
        "--hidden",
        type=float,
        default=0.02,
        metavar="R",
        help="flaws a square foot that planing uncovers (default: 0.02; an assumption)",
    )
    parser.add_argument("--tested", action="store_true", help="boards to be bought are stress-tested and flat after it")
    parser.add_argument(
        "--minutes", type=float, metavar="M", help="your own minutes for one resaw pass, setting up and clean-up included"
    )
    parser.add_argument("--hourly", type=float, metavar="MONEY", help="what an hour of yours is worth, in the job's money")
    parser.add_argument(
        "--as-they-come", action="store_true", help="boards may not be picked over: narrow and short ones are taken as well"
    )
    parser.add_argument(
        "--budget", type=float, metavar="MONEY", help="the surest purchase for this much, delivery and tax included"
    )
    parser.add_argument(
        "--delivery", type=float, default=0.0, metavar="MONEY", help="what each dealer asks for a delivery (default: 0)"
    )
    parser.add_argument("--tax", default="0%", metavar="P", help="tax on all that is bought, e.g. 8%% (default: 0%%)")
    parser.add_argument("--no-rack", action="store_true", help="as if the rack were empty")
    parser.add_argument("--plan", type=Path, metavar="PLAN", help="a plan.json of this job on its rack: saves planning it again")
    parser.add_argument(
        "--offered",
        type=Path,
        metavar="WHERE",
        help="the dealer's logged boards: a folder with boards.csv (defects.csv, edges.csv), or a rack file",
    )
    parser.add_argument(
        "--either", metavar="A;B", help="with --offered: this board or that one, what each comes to without the other"
    )
    parser.add_argument("--quiet", action="store_true", help="don't show progress")


def run(args: argparse.Namespace) -> int:
    """Study, write, print; exit status 0 (Ctrl-C: what has been found so far is written, 130)."""
    from yieldopt.commands.remarks import say_remarks
    from yieldopt.ground.deadline import Deadline
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planned.running import stopping
    from yieldopt.planning.warming import warm
    from yieldopt.sourcing.study import study
    from yieldopt.sourcing.told.files import text_of, told_files

    _in_range(args)
    job, own = _job(args)
    say_remarks(job)
    asked = _asked(args, job, own)
    # Ctrl-C counts from here on, the study's time only once everything is loaded.
    whole = Deadline(MOST_SECONDS)
    with stopping(whole):
        warm()
        found = study(job, asked, _silent if args.quiet else _say, whole.part(asked.seconds))
    files = told_files(found)
    write_all_atomically(args.out, files)
    print(text_of(files), end="")
    return 130 if found.stopped else 0


def _asked(args: argparse.Namespace, job: Job, own: Mapping[str, float]) -> Asked:
    from yieldopt.planned.running import share
    from yieldopt.planned.sound import own_plan
    from yieldopt.sourcing.asked import Asked
    from yieldopt.sourcing.choice.offered import read_offered

    offered = read_offered(args.offered, job) if args.offered else ()
    return Asked(
        seconds=args.seconds if args.seconds is not None else SECONDS if args.steps is None else MOST_SECONDS,
        seed=args.seed,
        chance=args.chance,
        draws=args.draws,
        hidden=args.hidden,
        stress="tested" if args.tested else "unknown",
        minutes=args.minutes,
        hourly=args.hourly,
        rack=not args.no_rack,
        plan=own_plan(args.plan, job) if args.plan else None,
        offered=offered,
        steps=args.steps,
        picked=not args.as_they_come,
        own=own,
        budget=args.budget,
        delivery=args.delivery,
        tax=share(args.tax, "--tax", "8%"),
        either=_named(args.either, [b.name for b in offered]),
    )


def _in_range(args: argparse.Namespace) -> None:
    from yieldopt.ground.errors import UsageError

    for name, value, least, most in (
        ("--seconds", args.seconds, 1, MOST_SECONDS), ("--chance", args.chance, 0.01, 0.999),
        ("--draws", args.draws, 20, 100_000), ("--hidden", args.hidden, 0, 10), ("--minutes", args.minutes, 0, 10_000),
        ("--hourly", args.hourly, 0.01, 1_000_000), ("--steps", args.steps, 10, 1_000_000),
        ("--budget", args.budget, 0.01, 1_000_000_000), ("--delivery", args.delivery, 0, 1_000_000),
    ):  # fmt: skip
        if value is not None and not least <= value <= most:
            raise UsageError(f"{name}: found {value:g}, expected {least:g} to {most:g}")
    if args.plan and args.no_rack:
        raise UsageError("--plan is a plan on the rack, --no-rack says that there is none: give one of them")
    if args.rack and args.no_rack:
        raise UsageError("--rack names the rack, --no-rack says that there is none: give one of them")
    if args.either and not args.offered:
        raise UsageError("--either is about the dealer's logged boards: name them with --offered")


def _job(args: argparse.Namespace) -> tuple[Job, Mapping[str, float]]:
    """The job on its folder's boards, on a rack's, or on none; and by species the shop's own late flaws over those expected.

    A folder without boards has nothing on its rack: no empty table is asked for.
    """
    from yieldopt.commands.own_rates import opened_boards
    from yieldopt.luck.rates import Rates
    from yieldopt.reading import job_name, read_job
    from yieldopt.reading.columns import BOARDS
    from yieldopt.reading.tables import has_table

    if not args.rack:
        bare = args.job.is_dir() and not has_table(args.job, BOARDS)
        return read_job(args.job, boards=() if bare else None), {}
    from yieldopt.rack.door.facade import Rack

    with Rack.open(args.rack, read_only=True) as shelf:
        name = job_name(args.job)
        held = {r.name: h.job for r, h in shelf.held_elsewhere(name)}
        job = read_job(args.job, boards=shelf.available_boards(name), held=held)
        rates = Rates(args.hidden).after(opened_boards(shelf))
    return job, {species: rates.own_flaws(species) for species in rates.opened}


def _named(text: str | None, names: Sequence[str]) -> tuple[str, ...]:
    from yieldopt.ground.errors import UsageError

    wanted = tuple(dict.fromkeys(n.strip() for n in (text or "").split(";") if n.strip()))
    strangers = [n for n in wanted if n not in names]
    if strangers or (text is not None and len(wanted) < 2):
        found = "; ".join(strangers) or text
        raise UsageError(f"--either: found {found!r}, expected names of two boards or more of those offered")
    return wanted


def _say(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def _silent(_: str) -> None:
    pass
