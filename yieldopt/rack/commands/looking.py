"""`rack list`, `rack show`, `rack history`, `rack labels`."""

from __future__ import annotations

import argparse
import sys
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from yieldopt.ground.counted import counted
from yieldopt.rack.commands import Command, opened, rack_option, units_of

if TYPE_CHECKING:
    from yieldopt.rack.books.search import BoardSearch
    from yieldopt.rack.show.one_board import Seen

_STATES = ("on rack", "cut", "split", "retired", "all")

_FILTERS = {
    "--species": "of this species",
    "--quarters": "of this nominal thickness",
    "--sawn": "sawn so",
    "--length": "at least so long",
    "--width": "at least so wide",
    "--thickness": "at least so thick",
    "--dealer": "from this dealer",
    "--grade": "sold as this grade",
    "--place": "lying there",
    "--text": "with these words in name, remarks, place or dealer",
    "--job": "held for this job",
}


def _search_options(parser: argparse.ArgumentParser) -> None:
    for option, what in _FILTERS.items():
        parser.add_argument(option, help=f"only boards {what}")
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--free", action="store_true", help="only boards that no job holds")
    which.add_argument("--held", action="store_true", help="only boards that a job holds")
    parser.add_argument("--state", choices=_STATES, default="on rack", help="boards in this state (on rack if not given)")


def _search(args: argparse.Namespace) -> BoardSearch:
    from yieldopt.ground.errors import InputError, LengthError, Problem
    from yieldopt.ground.lengths import parse_length
    from yieldopt.rack.books.search import BoardSearch

    problems: list[Problem] = []
    given: dict[str, Any] = {}
    for name in ("length", "width", "thickness"):
        text = getattr(args, name)
        try:
            given[name] = None if text is None else parse_length(text, units_of(args))
        except LengthError as error:
            problems.append(Problem("rack list", None, f"--{name}", text, error.expected))
    if problems:
        raise InputError(problems)
    given |= {k: getattr(args, k) for k in ("species", "quarters", "sawn", "dealer", "grade", "place", "text", "job")}
    free = True if args.free else False if args.held else None
    return BoardSearch(**given, free=free, state=None if args.state == "all" else args.state)


def _list_arguments(parser: argparse.ArgumentParser) -> None:
    rack_option(parser, units=True)
    _search_options(parser)
    parser.add_argument("--names", action="store_true", help="names only, one a line")


def _list(args: argparse.Namespace) -> int:
    from yieldopt.rack.show.wording import board_table
    from yieldopt.wood.volumes import in_volume

    wanted = _search(args)
    with opened(args, read_only=True) as rack:
        boards, holds = rack.boards(wanted), rack.holds()
    if args.names:
        print("\n".join(r.name for r in boards))
        return 0
    print("\n".join(board_table(boards, holds, units_of(args))))
    volume = sum((r.board.area * r.board.nominal for r in boards), Fraction(0))
    print(f"{counted(len(boards), 'board')}, {in_volume(volume, units_of(args))}")
    return 0


def _show_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("board", metavar="BOARD", help="its name, or the first letters of its identity")
    rack_option(parser, units=True)
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write the drawing to a file too")
    parser.add_argument("--ascii", action="store_true", help="draw with plain characters only")
    parser.add_argument("--photos", type=Path, metavar="DIR", help="write its photos to a folder")


def _show(args: argparse.Namespace) -> int:
    from yieldopt.rack.show import one_board

    with opened(args, read_only=True) as rack:
        seen = one_board.seen(rack, args.board)
    plain = args.ascii or not _writes("│─╵", sys.stdout.encoding)
    print("\n".join(one_board.lines(seen, units_of(args), plain)))
    _drawn(seen, args)
    return 0


def _drawn(seen: Seen, args: argparse.Namespace) -> None:
    """The drawing and the photos, where they are asked for."""
    from yieldopt.ground.files import write_all_atomically, write_atomically

    if args.svg is not None:
        from yieldopt.rack.show.picture import svg

        write_atomically(args.svg, svg(seen.record, units_of(args), seen.facts(units_of(args))))
    if args.photos is not None and seen.photos:
        write_all_atomically(args.photos, seen.photo_files())


def _writes(text: str, encoding: str | None) -> bool:
    try:
        text.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def _history_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("board", nargs="?", metavar="BOARD", help="only changes of this board, with what they changed")
    rack_option(parser, units=True)
    parser.add_argument("--most", type=int, default=40, metavar="N", help="at most so many changes (40 if not given)")
    parser.add_argument("--what", action="store_true", help="say what each change changed")


def _history(args: argparse.Namespace) -> int:
    from yieldopt.ground.errors import UsageError
    from yieldopt.rack.show.wording import history_lines

    if not 1 <= args.most <= 1_000_000:
        raise UsageError(f"--most: found {args.most}, expected 1 or more")
    with opened(args, read_only=True) as rack:
        changes = rack.history(args.board, args.most)
        names = rack.names({s.board for c in changes for s in c.steps if not s.name})
    print("\n".join(history_lines(changes, args.what or args.board is not None, names, units_of(args))) or "nothing yet")
    return 0


def _labels_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("boards", nargs="*", metavar="BOARD", help="names of boards; all on the rack if none is named")
    rack_option(parser, units=True)
    parser.add_argument(
        "--out", type=Path, required=True, metavar="FILE", help="where the labels go: .pdf, or .svg (all pages below each other)"
    )
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="letter if not given")
    parser.add_argument(
        "--server",
        default="",
        metavar="ADDRESS",
        help="address of the shop's own server, such as http://shop:8000, for the codes",
    )


def _labels(args: argparse.Namespace) -> int:
    from yieldopt.drawing.page.paper import PAPERS
    from yieldopt.ground.errors import UsageError
    from yieldopt.ground.files import write_atomically
    from yieldopt.rack.show.labels import label_file, label_pages

    suffix = _label_suffix(args)
    with opened(args, read_only=True) as rack:
        boards = list(rack.named(args.boards).values()) if args.boards else rack.boards()
        parents = rack.names({r.origin.parent for r in boards if r.origin})
    if not boards:
        raise UsageError("there is no board on the rack to make a label for")
    pages = label_pages(boards, PAPERS[args.paper], units_of(args), args.server, parents)
    write_atomically(args.out, label_file(pages, suffix))
    print(f"{counted(len(boards), 'label')} on {counted(len(pages), 'page')}: {args.out}")
    return 0


def _label_suffix(args: argparse.Namespace) -> str:
    from yieldopt.ground.errors import UsageError

    suffix: str = args.out.suffix.lower()
    if suffix not in (".pdf", ".svg"):
        raise UsageError(f"--out: found {args.out.name!r}, expected a name ending in .pdf or .svg")
    if args.server and (not args.server.startswith(("http://", "https://")) or len(args.server) > 200):
        raise UsageError("--server: expected an address such as http://shop:8000")
    return suffix


COMMANDS = (
    Command("list", "boards that fit, a line each", _list_arguments, _list),
    Command("show", "one board, with a drawing", _show_arguments, _show),
    Command("history", "every change: who, when, what it was", _history_arguments, _history),
    Command("labels", "labels with QR codes", _labels_arguments, _labels),
)
