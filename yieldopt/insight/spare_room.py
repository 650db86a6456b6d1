"""Clear wood beside a blank that nothing else takes: how much wider or longer it could still be cut. `Fraction` inches.

What a wrong measure, a check that runs further or a thrown board may take before the piece is lost. Kept offcuts count as
clear: they are given up before a part is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.rules.clearance import Box, clear_of_blanks, clear_of_pieces
from yieldopt.rules.faces import shows_fault
from yieldopt.sizes.sizing import clear_ends, crook_loss
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Piece


def spare_room(job: Job, bp: BoardPlan) -> dict[str, tuple[Fraction, Fraction]]:
    """For each blank of the board: how much wider, and how much longer, it could be where it lies."""
    board = job.board_named[bp.board]
    found = {}
    for blank in bp.blanks:
        mine = [p for p in bp.pieces if p.blank == blank.blank]
        blocked = [_with_kerf(b, job) for b in bp.blanks if b is not blank] + _defects(board, blank, mine, job)
        needed = _needed(blank, mine, job)
        found[blank.blank] = (_across(board, needed, blocked), _along(board, needed, blocked, job))
    return found


def _needed(blank: Blank, pieces: Sequence[Piece], job: Job) -> Blank:
    """What of a blank its pieces and the machines need: the rest, up to the mark or the board's edge, is room too."""
    if not pieces:
        return blank
    x, y, m = min(p.x for p in pieces), min(p.y for p in pieces), job.shop.machines
    length = max(max(p.x + p.length for p in pieces) - x, min(m.min_mill_length, blank.length))
    width = max(max(p.y + p.width for p in pieces) - y, min(m.min_rip_width, blank.width))
    x, y = min(x, blank.x + blank.length - length), min(y, blank.y + blank.width - width)
    return replace(blank, x=x, y=y, length=length, width=width)


def _with_kerf(b: Blank, job: Job) -> Box:
    along, across = job.shop.kerf.crosscut, job.shop.kerf.rip
    return Box((b.x - along, b.x + b.length + along), (b.y - across, b.y + b.width + across))


def _defects(board: Board, blank: Blank, pieces: Sequence[Piece], job: Job) -> list[Box]:
    """What the blank and its pieces keep clear of."""
    found = []
    for d in board.defects:
        if any(shows_fault(job.part_named[p.part], p, d) for p in pieces):
            found.append(clear_of_pieces(d, job.shop))
        elif (box := clear_of_blanks(d, job.shop)) is not None:
            found.append(box)
    return found


def _across(board: Board, blank: Blank, blocked: Sequence[Box]) -> Fraction:
    low, high = board.channel(blank.x, blank.x + blank.length)
    high -= crook_loss(board, blank.length)
    near, far = blank.y, blank.y + blank.width
    for (x0, x1), (y0, y1) in blocked:
        if x0 < blank.x + blank.length and blank.x < x1:
            low = max(low, y1) if y1 <= near else low
            high = min(high, y0) if y0 >= far else high
    return max(Fraction(0), near - low) + max(Fraction(0), high - far)


def _along(board: Board, blank: Blank, blocked: Sequence[Box], job: Job) -> Fraction:
    low, high = clear_ends(board, job.shop)
    start, end = blank.x, blank.x + blank.length
    for (x0, x1), (y0, y1) in blocked:
        if y0 < blank.y + blank.width and blank.y < y1:
            low = max(low, x1) if x1 <= start else low
            high = min(high, x0) if x0 >= end else high
    for p in board.edges:
        # Where the outline comes in, the blank can't grow past the last point that is wide enough.
        if p.near > blank.y or p.far < blank.y + blank.width:
            low = max(low, p.x) if p.x <= start else low
            high = min(high, p.x) if p.x >= end else high
    return max(Fraction(0), start - low) + max(Fraction(0), high - end)
