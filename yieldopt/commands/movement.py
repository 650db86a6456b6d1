"""`yieldopt movement`: what a panel's width, or every panel of a plan, will do between two moisture contents or over the year."""

from __future__ import annotations

import argparse
import math
from pathlib import Path

from yieldopt.ground.errors import LengthError, UsageError

HELP = "what a panel's width will do when its moisture content changes, or over the year indoors"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--species", metavar="S", help="as in `yieldopt wood`, e.g. cherry or hard maple")
    parser.add_argument("--width", metavar="W", help="width of the panel across the grain, e.g. 18 1/2 or 470mm")
    parser.add_argument(
        "--plan", type=Path, metavar="PLAN", help="every glued-up part of this plan.json instead, and readings that differ"
    )
    parser.add_argument("--job", type=Path, metavar="DIR", help="with --plan: its job folder (default: the folder job beside it)")
    parser.add_argument("--from", dest="start", metavar="MC", help="moisture content now, in percent")
    parser.add_argument("--to", dest="end", metavar="MC", help="moisture content it comes to, in percent")
    parser.add_argument(
        "--year", nargs=2, metavar=("DRY", "DAMP"), help="least and greatest relative humidity of the room in a year, percent"
    )
    parser.add_argument("--temperature", default="70", metavar="T", help="of the room with --year: 70, 70F or 21C (default 70F)")
    parser.add_argument("--sawn", choices=("flat", "quarter"), default="flat", help="how the boards are sawn (default flat)")
    parser.add_argument("--units", choices=("in", "mm"), default="in", help="units of a bare width and of the answer")


def run(args: argparse.Namespace) -> int:
    """Print the change; exit status 0."""
    if (args.plan is None) == (args.species is None and args.width is None):
        raise UsageError("movement: give --species and --width, or --plan")
    steps = _steps(args)
    print("\n".join(_one_panel(args, steps) if args.plan is None else _planned_panels(args.plan, args.job, steps)))
    return 0


def _steps(args: argparse.Namespace) -> list[tuple[str, float, float]]:
    from yieldopt.trade.facts import year_steps

    if (args.year is None) == (args.end is None) or (args.year is None and args.start is None):
        raise UsageError("movement: give --from and --to, or --year with or without --from")
    start = None if args.start is None else _percent("--from", args.start)
    if args.year is not None:
        dry, damp = sorted(_percent("--year", v) for v in args.year)
        return year_steps(dry, damp, _fahrenheit(args.temperature), start)
    return [("from now", start or 0.0, _percent("--to", args.end))]


def _one_panel(args: argparse.Namespace, steps: list[tuple[str, float, float]]) -> list[str]:
    from yieldopt.ground.lengths import MM_PER_INCH, parse_length
    from yieldopt.trade.facts import movement_lines
    from yieldopt.trade.species import find

    if args.species is None or args.width is None:
        raise UsageError("movement: give both --species and --width")
    try:
        width = parse_length(args.width, args.units)
    except LengthError as error:
        raise UsageError(f"--width: {error}") from error
    shown = float(width if args.units == "in" else width * MM_PER_INCH)
    return movement_lines(find(args.species), shown, args.units, steps, args.sawn)


def _planned_panels(path: Path, folder: Path | None, steps: list[tuple[str, float, float]]) -> list[str]:
    from yieldopt.planned.sound import plan_with_job
    from yieldopt.trade.panels import panel_lines

    return panel_lines(*plan_with_job(path, folder), steps)


def _percent(option: str, text: str) -> float:
    value = _number(text.strip().removesuffix("%"))
    if value is None or not 0 <= value <= 100:
        raise UsageError(f"{option}: found {text[:40]!r}, expected a percentage from 0 to 100")
    return value


def _fahrenheit(text: str) -> float:
    plain = text.strip().upper().replace("°", "")
    value = _number(plain.rstrip("FC"))
    if value is None:
        raise UsageError(f"--temperature: found {text[:40]!r}, expected degrees such as 70F or 21C")
    return value * 9 / 5 + 32 if plain.endswith("C") else value


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
