"""`yieldopt wood [NAME ...]`: the wood table, and thickness by quarters."""

from __future__ import annotations

import argparse

HELP = "shrinkage, hardness and weight of woods, each figure with its source; thickness by quarters"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("names", nargs="*", metavar="NAME", help="woods to show in full; none: list them all")
    parser.add_argument("--sizes", action="store_true", help="show thickness by quarters and dressed softwood sizes instead")


def run(args: argparse.Namespace) -> int:
    """Print what was asked for; exit status 0."""
    from yieldopt.trade import facts
    from yieldopt.trade.species import find

    if args.sizes:
        lines = facts.size_lines()
    elif args.names:
        lines = [line for name in args.names for line in facts.wood_lines(find(name))]
    else:
        lines = facts.list_lines()
    print("\n".join(lines))
    return 0
