"""The subcommands of `yieldopt rack`, grouped by what they do. Each group lists its `Command`s; nothing heavy is imported
before one runs.

Knows every room of the rack, and decides nothing. Begin reading in `intake.py`.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.ground.lengths import Units
    from yieldopt.rack.door.facade import Rack


@dataclass(frozen=True, slots=True)
class Command:
    """One subcommand: as `yieldopt.commands` modules, with its name."""

    name: str
    help: str
    add_arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def rack_option(parser: argparse.ArgumentParser, units: bool = False) -> None:
    """The options that the subcommands share."""
    parser.add_argument("--rack", required=True, metavar="FILE", help="the rack: a file, or a postgresql:// address")
    parser.add_argument(
        "--who", metavar="NAME", help="who makes the change, for the ledger (your name on this machine if not given)"
    )
    if units:
        parser.add_argument("--units", choices=("in", "mm"), help="units of bare numbers (inches if not given)")


def units_of(args: argparse.Namespace) -> Units:
    """The units of bare numbers."""
    return "mm" if args.units == "mm" else "in"


def opened(args: argparse.Namespace, create: bool = False, read_only: bool = False) -> Rack:
    """The rack that the options name."""
    from yieldopt.ground.errors import UsageError
    from yieldopt.rack.door.facade import Rack
    from yieldopt.reading.cells import unprintable

    if args.who is not None and (not args.who.strip() or len(args.who) > 100 or unprintable(args.who)):
        raise UsageError("--who: expected a name of at most 100 printable characters")
    return Rack.open(args.rack, create=create, read_only=read_only, who=args.who and args.who.strip())
