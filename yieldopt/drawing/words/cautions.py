"""Cautions named where they bite: which blank, why, and what practice says. They never replace the maker's instructions."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.gathered import blanks_words, pieces_words
from yieldopt.drawing.words.margins import margin_cautions
from yieldopt.drawing.words.testing import test_lines
from yieldopt.trade.readings import glue_up_warnings
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank, BoardPlan

# Narrower stock goes over the jointer with push blocks (shop rules, https://wiki.makeitlabs.com/resource-areas/wood-shop/jointer).
PUSH_BLOCK_WIDTH = Fraction(3)
# More than this off one layer, clean-up included, opens it far enough for drying stress to show (common practice, no source);
# badly stressed lumber is planed alternately from both sides
# (https://www.woodweb.com/knowledge_base/Working_with_casehardened_lumber.html).
PLANED_FAR = Fraction(3, 8)
# "Close to" the shortest blank for the planer: within this (common practice, no source).
NEAR_SHORTEST = Fraction(2)

GENERAL = (
    "Follow the machine makers' instructions and local rules, wear what they ask for, and use only machines you are trained on. "
    "This packet can't see your wood, your machines or your hands.",
    "Rough stock has no face or edge to run against: don't rip it against a table saw's fence. Rip it at the bandsaw, or with a "
    "guided saw, or after one edge has been straightened.",
    "Before the first cut, look whether every blank is as drawn: somebody measured these boards once, and may have erred.",
    "One tape for the whole job. Mark all of a board from its datum end before its first cut: that cut takes the end away. "
    "Underline every 6 and 9 that you chalk.",
    "Keep loose knots, splits, metal and stones out of the machines; look at both faces of each blank before it goes in.",
    "Use a push stick or push block wherever hands would come near the cutter, stand out of the line of the blade, and stop the "
    "machine where wood closes on the blade.",
    "Wood dust harms lungs: extract it and wear a mask that fits.",
)
# The halves of a pair lie with the grain turned about the hinge (popularwoodworking.com, tips for book-matched panels).
BOOK_FEED = "Opened, the halves usually go over the knives in opposite directions: try each."


def _for_blank(board: Board, blank: Blank, bp: BoardPlan, s: Setting) -> list[tuple[str, str, str]]:
    """(kind, the blank with its figure, what practice says) for each caution that one blank calls for."""
    m = s.job.shop.machines
    name = blank.blank
    out = []
    if blank.length <= m.min_mill_length + NEAR_SHORTEST:
        out.append(
            (
                "SHORT",
                f"{name} ({s.main(blank.length)} long)",
                f"Close to the shortest your machines take ({s.main(m.min_mill_length)}): "
                "check the maker's figure, never push it with a shorter piece.",
            )
        )
    if blank.width < PUSH_BLOCK_WIDTH:
        out.append(
            (
                "NARROW",
                f"{name} ({s.main(blank.width)} wide)",
                "Push blocks at the jointer, push stick at the saw, bandsaw first.",
            )
        )
    thin = min(blank.thicknesses)
    if thin < m.bare_thickness:
        out.append(
            (
                "THIN",
                f"{name} (milled to {s.main(thin)})",
                f"Under {s.main(m.bare_thickness)}: over the planer on a carrier board only, and only if its maker allows it; "
                "never bare, never over the jointer.",
            )
        )
    if blank.width > m.joint_width:
        how = {"sled": "on a planer sled", "hand": "by hand", "none": "not at all by these settings"}[m.wide_flattening]
        out.append(("WIDE", f"{name} ({s.main(blank.width)} wide)", f"The jointer takes {s.main(m.joint_width)}: flatten {how}."))
    if blank.layers > 1 and board.stress != "tested":
        out.append(
            (
                "STRESS NOT KNOWN",
                f"{name} (resawn)",
                "It may close on the blade or spring open: stress test before any cut, wedges at hand, stop if it pinches.",
            )
        )
    if board.stress == "no resaw":
        out.append(
            (
                "CASE-HARDENED",
                name,
                f"Board {board.name} is marked 'no resaw': it may close on the blade when ripped. Crosscut short first, then rip "
                "on the bandsaw, wedges ready.",
            )
        )
    far = board.thickness - thin
    if blank.layers == 1 and far > PLANED_FAR and board.stress != "tested":
        out.append(
            (
                "PLANED FAR",
                f"{name} (from {s.main(board.thickness)} to {s.main(thin)})",
                "Stress shows: take it from both faces in turn, rest it with some left on, flatten again.",
            )
        )
    pieces = [p for p in bp.pieces if p.blank == blank.blank]
    if any(s.job.part_named[p.part].match_kind == "book" for p in pieces):
        out.append(("BOOK PAIR", name, BOOK_FEED))
    least = s.job.shop.work.least_crosscut
    short = [p for p in pieces if p.stave is None and s.job.part_named[p.part].length < least]
    if short:
        names = pieces_words(short)
        out.append(
            (
                "SHORT PIECES",
                f"{names} from {name}",
                f"Under {s.main(least)} long, never by themselves at a power saw: from the longer blank against a stop block, "
                "clamped on a sled, or by hand saw.",
            )
        )
    slack = s.blank_slack[blank.blank]
    cups = " Layers that cup once they are sawn apart come out thin, and their pieces are lost." if blank.layers > 1 else ""
    if slack.at_risk:
        out.append(
            (
                "MAY COME OUT THIN",
                f"{name} ({s.spare(slack.spare)} to spare)",
                f"Thickness left after warp is next to nothing: flatten no more than it needs.{cups}",
            )
        )
    return out


def board_cautions(board: Board, bp: BoardPlan, s: Setting) -> list[str]:
    """The cautions of one board's sheet, a line for each kind, naming every blank it is about."""
    out = test_lines(board, bp, s)
    if board.crook and not board.edges:
        out.append(
            f"CROOKED by {s.both(board.crook)}: across the board, measure in each section from its own near "
            f"edge, before straightening it."
        )
    if board.bow or board.twist:
        out.append(
            "BOWED OR TWISTED: crosscut it supported and crown up, in shallow passes or with a handsaw, so that "
            "the kerf can't close."
        )
    grouped: dict[tuple[str, str], list[str]] = {}
    for blank in bp.blanks:
        for kind, what, advice in _for_blank(board, blank, bp, s):
            grouped.setdefault((kind, advice), []).append(what)
    out += [f"{kind}: {_listed(whats)}. {advice}" for (kind, advice), whats in grouped.items()]
    return out + margin_cautions(board, bp, s)


def _listed(whats: Sequence[str]) -> str:
    """`A-a, -b (2 wide), A-c (1 wide)`: what has the same figure, together."""
    grouped: dict[str, list[str]] = {}
    for what in whats:
        name, mark, figure = what.rpartition(" (")
        grouped.setdefault(mark + figure, []).append(name if mark else what)
    return ", ".join(
        blanks_words(names) + figure if figure.startswith(" (") else ", ".join(names) for figure, names in grouped.items()
    )


def glue_up_cautions(s: Setting) -> list[str]:
    """What moisture readings say against gluing, a line for each warning, naming every glued-up piece it is about."""
    grouped: dict[str, list[str]] = {}
    for piece, warnings in sorted(glue_up_warnings(s.plan, s.job.boards, s.job.shop.room).items()):
        for warning in warnings:
            grouped.setdefault(str(warning), []).append(piece)
    return [f"MOISTURE: gluing {', '.join(pieces)}: {text}." for text, pieces in grouped.items()]
