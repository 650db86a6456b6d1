"""`yieldopt rack ...`: the inventory."""

from __future__ import annotations

import argparse
import importlib

from yieldopt.commands import Later, add_later

HELP = "the inventory of boards: log, find, correct, hold, cut, count"

GROUPS = ("intake", "exchange", "looking", "changing", "holding", "cuts", "keeping")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    subs = parser.add_subparsers(dest="rack_command", metavar="WHAT", required=True, parser_class=Later)
    for group in GROUPS:
        for command in importlib.import_module(f"yieldopt.rack.commands.{group}").COMMANDS:
            add_later(subs, command.name, command.help, command.add_arguments, rack_run=command.run)


def run(args: argparse.Namespace) -> int:
    """Run the subcommand; its exit status."""
    status: int = args.rack_run(args)
    return status
