"""`rack cut`, `rack yields`: boards booked as cut, and what became of the wood."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from yieldopt.rack.commands import Command, opened, rack_option, units_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from yieldopt.rack.cut.cuttings import YieldLine
    from yieldopt.wood.lumber import Job


def _cut_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan.json that was cut by")
    rack_option(parser)
    parser.add_argument(
        "--board", action="append", metavar="NAME", help="only this board of the plan; again for each (all if not given)"
    )
    parser.add_argument(
        "--job-folder",
        type=Path,
        metavar="DIR",
        help="the job as planned, for finished sizes (job/ beside the plan if not given)",
    )
    parser.add_argument(
        "--measured",
        action="append",
        default=[],
        metavar="'OFFCUT=LENGTH x WIDTH [x THICKNESS]'",
        help="what an offcut turned out to be; again for each",
    )
    parser.add_argument(
        "--name", action="append", default=[], metavar="OFFCUT=NAME", help="the name chalked on an offcut; again for each"
    )
    parser.add_argument(
        "--lost", action="append", default=[], metavar="OFFCUT", help="an offcut that was not kept; again for each"
    )
    parser.add_argument(
        "--spoiled", action="append", default=[], metavar="PIECE", help="a piece that was spoiled; again for each"
    )
    parser.add_argument("--place", default="", help="where the offcuts were put")
    parser.add_argument("--key", metavar="KEY", help="a word of your own for this entry: the same again books nothing twice")


def _cut(args: argparse.Namespace) -> int:
    from yieldopt.rack.cut.said import corrections, key_of
    from yieldopt.rack.show.wording import cutting_lines
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan

    plan, _ = read_plan(args.plan)
    key = key_of(args.key)
    fix = corrections(args.measured, args.name, args.lost, args.spoiled, args.place, plan.units)
    folder = args.job_folder or args.plan.parent / "job"
    job = read_job(folder) if args.job_folder or folder.is_dir() else None
    with opened(args) as rack:
        # Asked first: once the booking is stored, nothing may fail that would say it is not.
        names = {r.id: n for n, r in rack.named(args.board or [b.board for b in plan.boards], gone_too=True).items()}
        cuttings = rack.book(plan, boards=args.board, fix=fix, key=key, **_of_job(job))
    print("\n".join(cutting_lines(cuttings, names, plan.units)))
    if job is None:
        print(f"there is no job folder at {folder}: parts are counted at the size they were cut to")
    return 0


def _of_job(job: Job | None) -> dict[str, Any]:
    """What booking takes from the job as planned: finished sizes, and how boards were measured then."""
    if job is None:
        return {"parts": {}}
    return {"parts": dict(job.part_named), "edge": job.shop.allowances.edge, "seen": job.board_named}


def _yields_arguments(parser: argparse.ArgumentParser) -> None:
    rack_option(parser, units=True)
    parser.add_argument(
        "--by", choices=("job", "species", "dealer", "month"), default="job", help="what to sum by (job if not given)"
    )
    parser.add_argument("--chart", type=Path, metavar="FILE", help="draw it too: .svg, .png or .pdf")


def _yields(args: argparse.Namespace) -> int:
    from yieldopt.rack.show.wording import yield_table
    from yieldopt.wood.volumes import volume_unit

    _chart_name(args.chart)
    units = units_of(args)
    with opened(args, read_only=True) as rack:
        lines = rack.yields(args.by)
    if not lines:
        print("nothing has been cut yet")
        return 0
    print("\n".join(yield_table(lines, args.by, units)))
    print(f"volumes in {volume_unit(units)}; yield: finished parts over wood used (bought less kept offcuts)")
    _charted(lines, args)
    return 0


def _chart_name(path: Path | None) -> None:
    from yieldopt.ground.errors import UsageError

    if path is not None and path.suffix.lower() not in (".svg", ".png", ".pdf"):
        raise UsageError(f"--chart: found {path.name!r}, expected a name ending in .svg, .png or .pdf")


def _charted(lines: Sequence[YieldLine], args: argparse.Namespace) -> None:
    if args.chart is not None:
        from yieldopt.ground.files import write_atomically
        from yieldopt.rack.show.yield_chart import chart

        write_atomically(args.chart, chart(lines, args.by, args.chart.suffix.lower()[1:], units_of(args)))


COMMANDS = (
    Command("cut", "book boards as cut from a plan", _cut_arguments, _cut),
    Command("yields", "what became of the boards cut", _yields_arguments, _yields),
)
