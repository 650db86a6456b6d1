"""`rack correct`, `rack split`, `rack retire`, `rack undo`."""

from __future__ import annotations

import argparse
import shlex
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.rack.commands import Command, opened, rack_option, units_of
from yieldopt.rack.commands.fields import add_fields, cells_of, lists_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from yieldopt.rack.board.record import Photo
    from yieldopt.rack.typed.correcting import Correction


def _correct_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("board", metavar="BOARD", help="its name, or the first letters of its identity")
    rack_option(parser, units=True)
    parser.add_argument("--rename", metavar="NAME", help="the name that is chalked on it now")
    add_fields(parser)
    parser.add_argument("--no-defects", action="store_true", help="forget the defects noted so far; --defect then notes new ones")
    parser.add_argument("--no-edges", action="store_true", help="forget the outline noted so far; --edge then notes a new one")
    parser.add_argument("--why", default="", metavar="TEXT", help="a word for the ledger")


def _correct(args: argparse.Namespace) -> int:
    from yieldopt.rack.books.photos import read

    photos = [read(Path(p)) for p in args.photo]
    correction = _correction(args, photos)
    with opened(args) as rack:
        before = rack.board(args.board, gone_too=False)
        # Asked first: once the change is stored, nothing may fail that would say it is not.
        hold = rack.holds().get(before.id)
        change = partial(correction.made, units=units_of(args))
        after = rack.correct(before.id, change, remark=args.why[:500], photos=photos)
    print(f"corrected {after.name}")
    if hold:
        print(f"it is held for {hold.job}: a plan made before may no longer fit it, plan again")
    return 0


def _correction(args: argparse.Namespace, photos: Sequence[Photo]) -> Correction:
    from yieldopt.ground.errors import InputError, Problem
    from yieldopt.rack.board.record import PhotoRef
    from yieldopt.rack.typed.correcting import Correction

    problems: list[Problem] = []
    defects, edges, notes = lists_of(args, problems)
    if problems:
        raise InputError(problems)
    cells = {**notes, **cells_of(args)} | ({"board": args.rename} if args.rename is not None else {})
    refs = tuple(PhotoRef(p.name, p.digest) for p in photos)
    return Correction(cells, defects, edges, args.no_defects, args.no_edges, refs)


def _split_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("board", metavar="BOARD", help="the board sawn in two")
    rack_option(parser, units=True)
    where = parser.add_mutually_exclusive_group(required=True)
    where.add_argument("--crosscut", metavar="X", help="across it, at this distance from the datum end")
    where.add_argument("--rip", metavar="Y", help="along it, at this distance from the near edge")
    parser.add_argument("--kerf", default="1/8", help="width of the cut (1/8 in if not given), beyond that distance")
    parser.add_argument("--names", nargs=2, required=True, metavar=("FIRST", "SECOND"), help="the datum or near side first")
    parser.add_argument("--job", metavar="JOB", help="the job that holds the board, if one does")


def _split(args: argparse.Namespace) -> int:
    from yieldopt.rack.cut.said import split_cut

    cut, names = split_cut(args.crosscut, args.rip, args.kerf, args.names, units_of(args))
    with opened(args) as rack:
        first, second = rack.split(args.board, cut, (names[0], names[1]), job=args.job)
    print(f"{args.board} is now {first.name} and {second.name}")
    return 0


def _retire_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("boards", nargs="+", metavar="BOARD", help="boards that left the rack uncut")
    rack_option(parser)
    parser.add_argument("--why", required=True, metavar="TEXT", help="such as sold, given away, firewood")
    parser.add_argument("--job", metavar="JOB", help="the job that holds them, if one does")


def _retire(args: argparse.Namespace) -> int:
    from yieldopt.ground.errors import UsageError
    from yieldopt.reading.cells import unprintable

    if not args.why.strip() or len(args.why) > 200 or unprintable(args.why):
        raise UsageError("--why: expected at most 200 printable characters")
    with opened(args) as rack:
        gone = rack.retire(args.boards, args.why.strip(), job=args.job)
    print(f"retired {', '.join(r.name for r in gone)}")
    return 0


def _undo_arguments(parser: argparse.ArgumentParser) -> None:
    rack_option(parser)
    parser.add_argument("--change", type=int, metavar="N", help="this change of `rack history` instead of the last")


def _undo(args: argparse.Namespace) -> int:
    with opened(args) as rack:
        change = rack.undo(args.change)
        held = rack.held_before(change.undoes or 0)
    print(f"undid change {change.undoes}: {change.remark}")
    for job, names in held.items():
        here = " ".join(shlex.quote(n) for n in (job, *names))
        print(f"{', '.join(names)}: held for {job} before, free now; to hold again: yieldopt rack hold {here} --rack {args.rack}")
    return 0


COMMANDS = (
    Command("correct", "change what is known of a board; what it was is kept", _correct_arguments, _correct),
    Command("split", "a board sawn in two, both still on the rack", _split_arguments, _split),
    Command("retire", "take boards off the rack that were not cut", _retire_arguments, _retire),
    Command("undo", "take back the last change, or a named one", _undo_arguments, _undo),
)
