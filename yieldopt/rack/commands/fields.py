"""The options that describe a board, and the cells they fill."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from yieldopt.ground.errors import Problem

# Option -> (column, what it is).
FIELDS = {
    "--species": ("species", "such as white oak"),
    "--quarters": ("quarters", "nominal thickness: 4/4, 8/4, or 52mm"),
    "--length": ("length", "measured rough length"),
    "--width": ("width", "measured rough width"),
    "--thickness": ("thickness", "measured, at its thinnest; the nominal one if not given"),
    "--sawn": ("sawn", "flat, rift or quarter"),
    "--stress": ("stress", "tested, unknown or no resaw"),
    "--bow": ("bow", "whole deviation along the face"),
    "--cup": ("cup", "whole deviation across the face"),
    "--crook": ("crook", "whole deviation along the edge"),
    "--twist": ("twist", "whole deviation of the corners"),
    "--bow-hollow": ("bow_hollow", "face that is hollow along its length: A or B"),
    "--cup-hollow": ("cup_hollow", "face that is hollow across its width: A or B"),
    "--crook-hollow": ("crook_hollow", "edge that is hollow: near or far"),
    "--sound-ends": ("sound_ends", "ends that need no trimming: none, datum, far or both"),
    "--cost": ("cost", "what the board cost"),
    "--price-bf": ("price_bf", "price per board foot"),
    "--price-m3": ("price_m3", "price per cubic metre"),
    "--dealer": ("dealer", "who sold it"),
    "--grade": ("grade", "the grade it was sold as"),
    "--place": ("place", "where it lies"),
    "--remarks": ("remarks", "free text"),
    "--moisture": ("moisture", "meter readings in percent, separated by ;"),
    "--thickness-points": ("thickness_points", "thickness at several points, such as '12: 2 1/16; 48: 2'"),
}


def add_fields(parser: argparse.ArgumentParser) -> None:
    """All options that describe a board, but its name."""
    for option, (column, what) in FIELDS.items():
        parser.add_argument(option, dest=f"cell_{column}", metavar=column.upper(), help=what)
    parser.add_argument(
        "--defect",
        action="append",
        default=[],
        metavar="'KIND FACE X Y LENGTH WIDTH'",
        help="a defect, such as 'knot A 15 7-1/2 1 1/2'; again for each",
    )
    parser.add_argument(
        "--edge",
        action="append",
        default=[],
        metavar="'X NEAR FAR'",
        help="a point of the outline, such as '36 0 4-3/4'; again for each",
    )
    parser.add_argument("--note", action="append", default=[], metavar="NAME=TEXT", help="a column of your own; again for each")
    parser.add_argument("--photo", action="append", default=[], metavar="FILE", help="a photo (JPEG, PNG, WebP); again for each")


def cells_of(args: argparse.Namespace) -> dict[str, str]:
    """The cells given on the command line."""
    return {
        column: getattr(args, f"cell_{column}") for column, _ in FIELDS.values() if getattr(args, f"cell_{column}") is not None
    }


Rows = list[dict[str, str]]


def lists_of(args: argparse.Namespace, problems: list[Problem]) -> tuple[Rows, Rows, dict[str, str]]:
    """Defects, edge points and notes given on the command line; mistakes are noted."""
    from yieldopt.rack.typed.intake import parse_defect, parse_edge

    defects = _rows("--defect", args.defect, parse_defect, problems)
    edges = _rows("--edge", args.edge, parse_edge, problems)
    return defects, edges, dict(_note(text, problems) for text in args.note)


def _rows(
    option: str, texts: Sequence[str], parse: Callable[[str], dict[str, str] | str], problems: list[Problem]
) -> list[dict[str, str]]:
    from yieldopt.ground.errors import Problem

    found = [(text, parse(text)) for text in texts]
    problems += [Problem("rack", None, option, text, cells) for text, cells in found if isinstance(cells, str)]
    return [cells for _, cells in found if not isinstance(cells, str)]


def _note(text: str, problems: list[Problem]) -> tuple[str, str]:
    from yieldopt.ground.errors import Problem
    from yieldopt.reading.cells import unprintable

    name, equals, value = text.partition("=")
    if not equals or not name.strip() or unprintable(name) or unprintable(value, line_breaks=True) or len(text) > 2000:
        problems.append(Problem("rack", None, "--note", text, "NAME=TEXT of printable characters, such as finish=oiled"))
    return name.strip(), value
