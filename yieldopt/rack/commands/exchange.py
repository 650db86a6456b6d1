"""`rack load`, `rack dump`: folders of tables in and out."""

from __future__ import annotations

import argparse
from pathlib import Path

from yieldopt.ground.counted import counted
from yieldopt.rack.commands import Command, opened, rack_option


def _load_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", type=Path, metavar="DIR", help="a folder with boards.csv or boards.xlsx, and defects and edges if there are any"
    )
    rack_option(parser, units=True)
    parser.add_argument(
        "--correct", action="store_true", help="where a board is on the rack already and differs, take the folder's facts"
    )


def _load(args: argparse.Namespace) -> int:
    from yieldopt.ground.errors import InputError, Problem
    from yieldopt.rack.io.exchange import load, read_folder

    problems: list[Problem] = []
    read_folder(args.folder, args.units, problems)
    if problems:
        # Before the rack is opened, since opening would make one.
        raise InputError(problems)
    with opened(args, create=True) as rack:
        loaded = load(rack, args.folder, args.units, args.correct)
    print(f"{len(loaded.added)} boards added, {len(loaded.corrected)} corrected, {len(loaded.same)} there already")
    return 0


def _dump_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, metavar="DIR", help="where the tables go; made if it is not there")
    rack_option(parser, units=True)
    parser.add_argument("--xlsx", action="store_true", help="workbooks instead of CSV")
    parser.add_argument("--all", action="store_true", help="boards that have left the rack too, in the folder gone/")


def _dump(args: argparse.Namespace) -> int:
    from yieldopt.ground.unwritable import refuse_output
    from yieldopt.rack.io.exchange import dump

    refuse_output(args.folder, "DIR")
    with opened(args, read_only=True) as rack:
        count = dump(rack, args.folder, args.units, args.xlsx, args.all)
    print(f"{counted(count, 'board')} written to {args.folder}")
    return 0


COMMANDS = (
    Command("load", "bring the boards of a folder to the rack", _load_arguments, _load),
    Command("dump", "write the rack to a folder of tables", _dump_arguments, _dump),
)
