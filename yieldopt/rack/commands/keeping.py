"""`rack backup`, `rack restore`, `rack check`: keeping the rack itself."""

from __future__ import annotations

import argparse
from pathlib import Path

from yieldopt.ground.counted import counted
from yieldopt.rack.commands import Command, opened, rack_option


def _backup_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("to", type=Path, metavar="TO", help="the new file; it must not exist yet")
    rack_option(parser)


def _backup(args: argparse.Namespace) -> int:
    with opened(args, read_only=True) as rack:
        rack.backup(args.to)
    print(f"backup written to {args.to}")
    return 0


def _restore_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("backup", type=Path, metavar="BACKUP", help="a file that `rack backup` wrote")
    rack_option(parser)


def _restore(args: argparse.Namespace) -> int:
    from yieldopt.ground.errors import UsageError
    from yieldopt.rack.db import backup
    from yieldopt.rack.db.engine import is_url

    if not args.backup.exists():
        raise UsageError(f"{args.backup} is not there")
    if is_url(args.rack):
        backup.fill_server(args.backup, args.rack)
        print(f"{args.backup} restored")
        return 0
    kept = backup.restore_file(args.backup, Path(args.rack))
    print(f"{args.backup} restored to {args.rack}" + (f"; what was there is kept as {kept.name}" if kept else ""))
    return 0


def _check_arguments(parser: argparse.ArgumentParser) -> None:
    rack_option(parser)


def _check(args: argparse.Namespace) -> int:
    with opened(args, read_only=True) as rack:
        faults = rack.check()
        count = len(rack.boards())
    for fault in faults:
        print(fault)
    print(f"{counted(len(faults), 'fault')}; {counted(count, 'board')} on the rack")
    return 1 if faults else 0


COMMANDS = (
    Command("backup", "copy the whole rack to a new file", _backup_arguments, _backup),
    Command("restore", "put a backup in the rack's place; what was there is kept", _restore_arguments, _restore),
    Command("check", "look at everything: the database and each board against the ledger", _check_arguments, _check),
)
