"""`rack log`: a board in one line, or by questions."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.ground.counted import counted
from yieldopt.rack.commands import Command, opened, rack_option, units_of
from yieldopt.rack.commands.fields import add_fields, cells_of, lists_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from yieldopt.ground.lengths import Units
    from yieldopt.rack.board.record import Photo, RackBoard
    from yieldopt.rack.door.facade import Rack

# What `--same` and the questions take over from the board logged last.
REMEMBERED = ("species", "quarters", "dealer", "grade", "place", "price_bf", "price_m3", "sawn")


def _log_arguments(parser: argparse.ArgumentParser) -> None:
    rack_option(parser, units=True)
    parser.add_argument("--board", metavar="NAME", help="the name chalked on it")
    add_fields(parser)
    parser.add_argument(
        "--same",
        action="store_true",
        help="what is not given is as on the board you logged last (a price only for the same species and quarters): "
        + ", ".join(REMEMBERED),
    )
    parser.add_argument("--key", metavar="KEY", help="a word of your own for this entry: repeating it stores nothing twice")
    parser.add_argument("--id", metavar="UUID", help="the board's identity, if one was made for it already")


def _log(args: argparse.Namespace) -> int:
    from yieldopt.rack.books.photos import read
    from yieldopt.rack.cut.said import key_of
    from yieldopt.rack.io.asking import unknown_species

    if not (cells_of(args) or args.board or args.defect or args.edge) and sys.stdin.isatty():
        with opened(args, create=True) as rack:
            return _ask(rack, args)
    key, cells = key_of(args.key), _cells(args)
    photos = [read(Path(p)) for p in args.photo]
    record = _record(args, cells, photos)
    # Only now: opening makes the rack if there is none, and bad input must leave nothing behind.
    with opened(args, create=True) as rack:
        doubt = unknown_species(record.board.species, rack.species())
        stored = rack.log(record, key=key, photos=photos)
    print(f"logged {stored.name}" + (f"\nnote: {doubt} {MENDS.format(stored.name)}" if doubt else ""))
    return 0


MENDS = "`yieldopt rack correct {} --species ...` mends it"


def _cells(args: argparse.Namespace) -> dict[str, str]:
    """The cells given; with `--same` the others as on the board logged last."""
    from yieldopt.rack.io.asking import for_the_same_wood

    cells = cells_of(args)
    if not args.same:
        return cells
    with opened(args, read_only=True) as rack:
        return for_the_same_wood(_remembered(rack, units_of(args)), cells) | cells


def _record(args: argparse.Namespace, cells: dict[str, str], photos: Sequence[Photo]) -> RackBoard:
    """The board as it was typed. Raises `InputError` with every mistake."""
    from yieldopt.ground.errors import InputError, Problem
    from yieldopt.rack.board.record import PhotoRef
    from yieldopt.rack.typed.intake import Typed, try_record

    problems: list[Problem] = []
    defects, edges, notes = lists_of(args, problems)
    typed = Typed({**notes, **cells, "board": args.board or "", "rack_id": args.id or _id_of(args.key)}, defects, edges)
    record = try_record(typed, units_of(args), "rack log", problems)
    if problems or record is None:
        raise InputError(problems)
    return replace(record, photos=tuple(PhotoRef(p.name, p.digest) for p in photos))


def _id_of(key: str | None) -> str:
    """The same key gives the same identity, so that a repeat says the same."""
    import uuid

    return str(uuid.uuid5(uuid.NAMESPACE_OID, f"yieldopt rack log {key}")) if key else ""


def _remembered(rack: Rack, units: Units) -> dict[str, str]:
    from yieldopt.rack.typed.intake import typed_of

    last = rack.last_logged()
    if last is None:
        return {}
    cells = typed_of(last, units).cells
    return {k: cells[k] for k in REMEMBERED if cells.get(k)}


def _ask(rack: Rack, args: argparse.Namespace) -> int:
    from yieldopt.rack.io.asking import ask_boards

    last = rack.last_logged()
    units = units_of(args)
    count = ask_boards(rack, last.name if last else "", _remembered(rack, units), units)
    print(f"{counted(count, 'board')} logged")
    return 0


COMMANDS = (Command("log", "store one board: in one line, or by questions if nothing is given", _log_arguments, _log),)
