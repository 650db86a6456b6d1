"""`rack cut`, `rack yields`: boards booked as cut, and what became of the wood."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.rack.commands import Command, opened, rack_option, units_of

if TYPE_CHECKING:
    from yieldopt.errors import Problem
    from yieldopt.lengths import Units
    from yieldopt.rack.cut.booking import Corrections


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
    from yieldopt.errors import InputError, UsageError
    from yieldopt.rack.show.wording import cutting_lines
    from yieldopt.reading import read_job
    from yieldopt.reading.cells import unprintable
    from yieldopt.records.planfile import loads

    try:
        plan = loads(args.plan.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{args.plan}: expected a plan.json that can be read ({error})") from error
    if args.key is not None and (not 0 < len(args.key) <= 200 or unprintable(args.key)):
        raise UsageError("--key: expected 1 to 200 printable characters")
    problems: list[Problem] = []
    fix = _corrections(args, plan.units, problems)
    if problems:
        raise InputError(problems)
    folder = args.job_folder or args.plan.parent / "job"
    job = read_job(folder) if args.job_folder or folder.is_dir() else None
    parts = dict(job.part_named) if job else {}
    with opened(args) as rack:
        # Asked first: once the booking is stored, nothing may fail that would say it is not.
        names = {r.id: n for n, r in rack.named(args.board or [b.board for b in plan.boards], gone_too=True).items()}
        edge, seen = (job.shop.allowances.edge, job.board_named) if job else (None, None)
        cuttings = rack.book(plan, boards=args.board, parts=parts, fix=fix, edge=edge, key=args.key, seen=seen)
    print("\n".join(cutting_lines(cuttings, names, plan.units)))
    if job is None:
        print(f"there is no job folder at {folder}: parts are counted at the size they were cut to")
    return 0


def _corrections(args: argparse.Namespace, units: Units, problems: list[Problem]) -> Corrections:
    from yieldopt.errors import LengthError, Problem
    from yieldopt.lengths import parse_length
    from yieldopt.rack.cut.booking import Corrections, Measured
    from yieldopt.reading.cells import unprintable

    measured = {}
    for text in args.measured:
        offcut, _, sizes = text.rpartition("=")
        cells = sizes.replace("×", "x").split("x")
        try:
            lengths = [parse_length(c, units) for c in cells]
            if not offcut or not 2 <= len(cells) <= 3 or min(lengths) <= 0:
                raise LengthError(text, "")
            measured[offcut.strip()] = Measured(lengths[0], lengths[1], lengths[2] if len(lengths) == 3 else None)
        except LengthError:
            problems.append(Problem("rack cut", None, "--measured", text, "OFFCUT=LENGTH x WIDTH such as 'A2-1=26 1/2 x 2 3/4'"))
    names = {}
    for text in args.name:
        offcut, equals, name = text.rpartition("=")
        if not equals or not offcut.strip() or not name.strip() or len(name) > 200 or ";" in name or unprintable(name):
            problems.append(Problem("rack cut", None, "--name", text, "OFFCUT=NAME, a name of printable characters without ;"))
        names[offcut.strip()] = name.strip()
    if len(args.place) > 200 or unprintable(args.place):
        problems.append(Problem("rack cut", None, "--place", args.place, "at most 200 printable characters"))
    return Corrections(measured, names, frozenset(args.lost), frozenset(args.spoiled), args.place.strip())


def _yields_arguments(parser: argparse.ArgumentParser) -> None:
    rack_option(parser, units=True)
    parser.add_argument(
        "--by", choices=("job", "species", "dealer", "month"), default="job", help="what to sum by (job if not given)"
    )
    parser.add_argument("--chart", type=Path, metavar="FILE", help="draw it too: .svg, .png or .pdf")


def _yields(args: argparse.Namespace) -> int:
    from yieldopt.errors import UsageError
    from yieldopt.files import write_atomically
    from yieldopt.rack.show.wording import yield_table
    from yieldopt.volumes import volume_unit

    if args.chart is not None and args.chart.suffix.lower() not in (".svg", ".png", ".pdf"):
        raise UsageError(f"--chart: found {args.chart.name!r}, expected a name ending in .svg, .png or .pdf")
    units = units_of(args)
    with opened(args, read_only=True) as rack:
        lines = rack.yields(args.by)
    if not lines:
        print("nothing has been cut yet")
        return 0
    print("\n".join(yield_table(lines, args.by, units)))
    print(f"volumes in {volume_unit(units)}; yield: finished parts over wood used (bought less kept offcuts)")
    if args.chart is not None:
        from yieldopt.rack.show.yield_chart import chart

        write_atomically(args.chart, chart(lines, args.by, args.chart.suffix.lower()[1:], units))
    return 0


COMMANDS = (
    Command("cut", "book boards as cut from a plan", _cut_arguments, _cut),
    Command("yields", "what became of the boards cut", _yields_arguments, _yields),
)
