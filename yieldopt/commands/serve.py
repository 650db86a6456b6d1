"""`yieldopt serve`: the phone page."""

from __future__ import annotations

import argparse
from pathlib import Path

from yieldopt.ground.errors import UsageError

HELP = "the phone page: log boards at the rack, sheets at the bench"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--rack", required=True, metavar="FILE", help="the rack: a file, or a postgresql:// address; made if not there"
    )
    parser.add_argument(
        "--port", type=int, default=8765, metavar="N", help="port to listen at; 0 takes any free one (default: 8765)"
    )
    parser.add_argument(
        "--host",
        default="127.0.0.1",
        metavar="H",
        help="address to listen at; 0.0.0.0 is the shop's network (default: 127.0.0.1)",
    )
    parser.add_argument(
        "--job",
        action="append",
        default=[],
        type=Path,
        metavar="JOB",
        help="a job folder for the tally; may be given several times",
    )
    parser.add_argument(
        "--plan",
        action="append",
        default=[],
        type=Path,
        metavar="DIR",
        help="a folder with plan.json for the bench; may be given several times",
    )
    parser.add_argument("--https", action="store_true", help="with its own certificate, kept beside the rack")
    parser.add_argument(
        "--name", action="append", default=[], metavar="NAME", help="a further name of this machine on the network"
    )
    parser.add_argument("--pair", action="store_true", help="ask for a pairing code on this machine too")
    parser.add_argument("--phones", action="store_true", help="list the paired phones and stop")
    parser.add_argument(
        "--revoke", metavar="PHONE", help="unpair the phone of this name and stop; a server that is running obeys at once"
    )


def run(args: argparse.Namespace) -> int:
    """Serve until told to stop; exit status."""
    if args.phones or args.revoke:
        return _phones(args)
    from yieldopt.web.server import Wanted, serve

    for folder in (*args.job, *args.plan):
        if not folder.is_dir():
            raise UsageError(f"{folder} is not a folder")
    if not 0 <= args.port <= 65535:
        raise UsageError(f"--port: found {args.port}, expected 0 to 65535")
    serve(Wanted(args.rack, args.host, args.port, args.job, args.plan, args.https, args.name, args.pair))
    return 0


def _phones(args: argparse.Namespace) -> int:
    """The paired phones, one of them unpaired first where that is asked for."""
    from yieldopt.web.app import phones_path
    from yieldopt.web.phones import Phones

    phones = Phones(phones_path(args.rack))
    if args.revoke and not phones.revoke(args.revoke):
        raise UsageError(f"no phone is called {args.revoke!r}")
    for phone in phones.all():
        print(phone.name)
    return 0
