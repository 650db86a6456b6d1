"""`yieldopt tally FOLDER`: what the boards measure as a dealer counts, and what their faces would support."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from yieldopt.ground.errors import UsageError
from yieldopt.wood.lumber import Board

HELP = "board feet as a dealer counts beside the exact figure, with price and a clear-face estimate"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", type=Path, nargs="?", metavar="FOLDER", help="a folder with boards.csv (and defects.csv, edges.csv)"
    )
    parser.add_argument("--rack", metavar="FILE", help="the boards of this rack instead of a folder's")
    parser.add_argument("--boards", metavar="A;B", help="only these boards, in this order, separated by ;")
    parser.add_argument(
        "--half",
        choices=("alternate", "up", "down"),
        default="alternate",
        help="exactly half a foot of surface measure: down on one board and up on the next (default), up, or down",
    )
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--net", action="store_true", help="boards were tallied after drying, as measured (the default)")
    which.add_argument(
        "--green",
        metavar="SHARE",
        nargs="?",
        const="0.07",
        help="also say about what a green tally would be: SHARE more, 0 to 0.2 (0.07 if not given)",
    )
    parser.add_argument("--air-dried", action="store_true", help="not kiln-dried: no half inch off a grade's least width")
    parser.add_argument("--why", action="store_true", help="say for each board why it is none of the better grades")


def run(args: argparse.Namespace) -> int:
    """Print the table; exit status 0."""
    from yieldopt.reading.settings import units_in
    from yieldopt.trade.estimate import estimate
    from yieldopt.trade.tally import tally
    from yieldopt.trade.tally_told import tally_lines
    from yieldopt.wood.volumes import in_volume

    green = None if args.green is None else _share(args.green)
    bundle = tally(_chosen(_boards(args), args.boards), args.half)
    estimates = [estimate(t.board, t.surface, kiln_dried=not args.air_dried) for t in bundle.boards]
    print("\n".join(tally_lines(bundle, estimates, green, args.why)))
    if args.folder is not None and units_in(args.folder) == "mm":
        print(f"by exact volume: {in_volume(sum((t.board.area * t.board.nominal for t in bundle.boards), Fraction(0)), 'mm')}")
    return 0


def _boards(args: argparse.Namespace) -> Sequence[Board]:
    if (args.folder is None) == (args.rack is None):
        raise UsageError("name a folder of boards, or a rack with --rack, and not both")
    if args.rack is None:
        from yieldopt.reading import read_boards

        return read_boards(args.folder)
    from yieldopt.rack.door.facade import Rack
    from yieldopt.rack.typed.extras import for_a_job

    with Rack.open(args.rack, read_only=True) as rack:
        return [for_a_job(r) for r in rack.boards()]


def _chosen(boards: Sequence[Board], names: str | None) -> list[Board]:
    if names is None:
        return list(boards)
    known = {b.name: b for b in boards}
    wanted = [n.strip() for n in names.split(";") if n.strip()]
    strangers = [n for n in wanted if n not in known]
    if strangers or not wanted:
        raise UsageError(f"--boards: found {'; '.join(strangers)[:80]!r}, expected names of boards, separated by ;")
    return [known[n] for n in dict.fromkeys(wanted)]


def _share(text: str) -> Fraction:
    try:
        share = Fraction(text) if len(text) <= 12 and "e" not in text.casefold() else None
    except (ValueError, ZeroDivisionError):
        share = None
    if share is None or not 0 <= share <= Fraction(1, 5):
        raise UsageError(f"--green: found {text[:60]!r}, expected a share from 0 to 0.2, such as 0.07")
    return share
