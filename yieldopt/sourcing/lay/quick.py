"""A quick layout, board after board, largest part first: an estimate in milliseconds.

Used where thousands of layouts are needed (chance of running short, spread of the break-even); answers that rest on it say
so. What a plan gains from looking at all boards at once is missing, so it mostly asks for more wood than a plan. It leaves
out ganging of short parts, so there it may ask for less.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.rules.boards import right_wood
from yieldopt.rules.clearance import clear_of_blanks, keep_clear
from yieldopt.rules.faces import spoilt_by
from yieldopt.rules.offcuts import unsound
from yieldopt.sizes.sizing import clear_ends
from yieldopt.sourcing.lay.wants import Want, layers_from
from yieldopt.wood.lumber import Board, Defect, Shop

# A rectangle x0, y0, x1, y1 in inches.
Box = tuple[float, float, float, float]
Flaw = tuple[Defect, Box]
SMALLEST = 1.0
NOTHING_LEFT = 1e-6
# Widths of stave that are tried in a place, from the widest to the narrowest.
WIDTHS_TRIED = 4


@dataclass(frozen=True, slots=True)
class Stack:
    """So many copies of a want, one upon the other over one footprint, and how many of them a hidden flaw spoils."""

    want: Want
    copies: int
    spoilt: int
    # What each counts for: 1, but for a stave as its net width is to that of the want.
    worth: float = 1.0


@dataclass(frozen=True)
class Laid:
    """What one board gave: sound copies of each want, and the share of its cost that kept offcuts are worth."""

    board: Board
    copies: tuple[float, ...]
    # Share of the board's price that comes back as offcuts.
    credit_share: float
    stacks: tuple[Stack, ...]

    @property
    def resaw_cuts(self) -> int:
        return sum(s.copies - 1 for s in self.stacks)

    @property
    def net_cost(self) -> float:
        return float(self.board.price) * (1 - self.credit_share)


# A board and the flaws in it that nobody sees before it is planed.
Opened = tuple[Board, Sequence[Defect]]


def stream(wants: Sequence[Want], boards: Iterable[Opened], shop: Shop) -> tuple[list[Laid], list[float]]:
    """Lay the wants out on boards in the order they come until none is left; the boards taken, and copies still missing.

    Boards that give nothing are taken too: in a blind purchase they are paid for. Copies that a hidden flaw spoils are
    wanted again from later boards.
    """
    left: list[float] = [w.qty * w.layers for w in wants]
    taken: list[Laid] = []
    boards = iter(boards)
    while any(left):
        opened = next(boards, None)
        if opened is None:
            break
        laid = lay_out(wants, left, *opened, shop)
        taken.append(laid)
        left = after(left, laid.copies)
    return taken, left


def after(left: Sequence[float], copies: Sequence[float]) -> list[float]:
    """What is left to make; widths of staves need not come out even."""
    return [0.0 if a - b < NOTHING_LEFT else a - b for a, b in zip(left, copies, strict=True)]


def lay_out(wants: Sequence[Want], left: Sequence[float], board: Board, hidden: Sequence[Defect], shop: Shop) -> Laid:
    """Lay out at most `left` copies of each want on one board by the flaws seen; then the `hidden` ones spoil what they hit."""
    # A section of half the length loses a quarter of the crook: see `sizing.crook_loss`.
    width = float(board.width - board.crook / 4)
    x0, x1 = map(float, clear_ends(board, shop))
    free: list[Box] = [(x0, 0.0, x1, width)]
    stacks: list[Stack] = []
    seen, unseen = _flaws(board.defects), _flaws(hidden)
    homes = dict.fromkeys(w.home for w, n in zip(wants, left, strict=True) if w.home and n > 0)
    for home in homes:
        # All of a group or none of it, and before all else: few boards have room for it.
        there, some = list(free), []
        for want, n in zip(wants, left, strict=True):
            if want.home == home and n > 0:
                got, short = _place(want, n, board, seen, unseen, there, shop)
                some += got
                if short > 0:
                    break
        else:
            free, stacks = there, stacks + some
    for want, n in zip(wants, left, strict=True):
        if n > 0 and want.home is None:
            stacks += _place(want, n, board, seen, unseen, free, shop)[0]
    sound = dict.fromkeys(wants, 0.0)
    for s in stacks:
        sound[s.want] += (s.copies - s.spoilt) * s.worth
    return Laid(board, tuple(sound[w] for w in wants), _credit(free, board, shop), tuple(stacks))


def _place(
    want: Want, room: float, board: Board, seen: Sequence[Flaw], hidden: Sequence[Flaw], free: list[Box], shop: Shop
) -> tuple[list[Stack], float]:
    """At most `room` copies of one want in the free rectangles of a board, which are split as they fill; and what does not
    go in."""
    stacks: list[Stack] = []
    if not right_wood(want, board):
        return stacks, room
    cross, rip = float(shop.kerf.crosscut), float(shop.kerf.rip)
    layers = layers_from(want, board, shop)
    blocked = _blocked(want, seen, shop) if layers else []
    length = float(want.length)
    step = layers if want.layers == 1 else want.layers
    while layers and room > 0:
        found = next(((spot, w) for w in _widths(want, room, shop) if (spot := _spot(free, blocked, length, w))), None)
        if found is None:
            break
        (index, x, y), wide = found
        _split(free, index, x, y, length, wide, cross, rip)
        worth = _worth(want, wide, shop)
        got = min(step, math.ceil(room / worth - NOTHING_LEFT))
        (room,) = after([room], [got * worth])
        stacks.append(Stack(want, got, _spoilt(want, got, (x, y, x + length, y + wide), hidden, shop), worth))
    return stacks, room


def _widths(want: Want, room: float, shop: Shop) -> Iterator[float]:
    """Widths to look for a place for, the widest first: one, but for staves, which may be of any width in their range."""
    if want.staves is None:
        yield float(want.width)
        return
    edges = 2 * float(shop.allowances.edge)
    least, most = map(float, want.staves)
    # No wider than what is still wanted.
    most = max(least, min(most, room * (float(want.width) - edges) + edges))
    for k in range(WIDTHS_TRIED):
        yield most - k * (most - least) / (WIDTHS_TRIED - 1)
        if most == least:
            return


def _worth(want: Want, wide: float, shop: Shop) -> float:
    edges = 2 * float(shop.allowances.edge)
    return 1.0 if want.staves is None else (wide - edges) / (float(want.width) - edges)


def _spoilt(want: Want, copies: int, box: Box, hidden: Sequence[Flaw], shop: Shop) -> int:
    """Copies of a stack that hidden flaws spoil: one for a flaw on one face, all for one that goes through; a matched
    set is lost whole."""
    lost: set[int] = set()
    for flaw in hidden:
        d = flaw[0]
        hits = [b for b in _blocked(want, (flaw,), shop) if b[0] < box[2] and b[2] > box[0] and b[1] < box[3] and b[3] > box[1]]
        if hits:
            lost |= set(range(copies)) if d.seen_on == "both" or want.layers > 1 else {0 if d.seen_on == "A" else copies - 1}
    return len(lost)


def _blocked(want: Want, flaws: Iterable[Flaw], shop: Shop) -> list[Box]:
    """What flaws keep free of a want's footprint."""
    found = []
    for d, (x0, y0, x1, y1) in flaws:
        if spoilt_by(want, (d,)) or clear_of_blanks(d, shop) is not None:
            a, b = map(float, keep_clear(d.kind, shop))
            found.append((x0 - a, y0 - b, x1 + a, y1 + b))
    return found


def _flaws(defects: Iterable[Defect]) -> list[Flaw]:
    """Defects with their rectangles as floats, reckoned once for a board."""
    found = []
    for d in defects:
        x, y = float(d.x), float(d.y)
        found.append((d, (x, y, x + float(d.length), y + float(d.width))))
    return found


def _spot(free: Sequence[Box], blocked: Sequence[Box], length: float, width: float) -> tuple[int, float, float] | None:
    """The free rectangle with least to spare that takes the footprint clear of `blocked`, and the place in it."""
    order = sorted(range(len(free)), key=lambda i: (free[i][2] - free[i][0]) * (free[i][3] - free[i][1]))
    for i in order:
        x0, y0, x1, y1 = free[i]
        if x1 - x0 < length or y1 - y0 < width:
            continue
        near = [b for b in blocked if b[0] < x1 and b[2] > x0 and b[1] < y1 and b[3] > y0]
        for x in sorted({x0, *(b[2] for b in near if x0 < b[2] <= x1 - length)}):
            for y in sorted({y0, *(b[3] for b in near if y0 < b[3] <= y1 - width)}):
                if not any(b[0] < x + length and b[2] > x and b[1] < y + width and b[3] > y for b in near):
                    return i, x, y
    return None


def _split(free: list[Box], i: int, x: float, y: float, length: float, width: float, cross: float, rip: float) -> None:
    """Crosscut before and after the footprint, rip beside it: what is left as rectangles."""
    x0, y0, x1, y1 = free.pop(i)
    rest = [
        (x0, y0, x - cross, y1),
        (x + length + cross, y0, x1, y1),
        (x, y0, x + length, y - rip),
        (x, y + width + rip, x + length, y1),
    ]
    free.extend(r for r in rest if r[2] - r[0] > SMALLEST and r[3] - r[1] > SMALLEST)


def _credit(free: Sequence[Box], board: Board, shop: Shop) -> float:
    """Share of the price that clear leftover rectangles earn; one unsound flaw spoils a rectangle's shorter side of it."""
    v = shop.values
    least = (float(v.offcut_min_length), float(v.offcut_min_width))
    flaws = [(float(d.x), float(d.x + d.length), float(d.y), float(d.y + d.width)) for d in unsound(board.defects)]
    kept = 0.0
    for x0, y0, x1, y1 in free:
        hits = sorted((a, b) for a, b, c, d in flaws if a < x1 and b > x0 and c < y1 and d > y0)
        for start, end in _between(x0, x1, hits):
            if end - start >= least[0] and y1 - y0 >= least[1]:
                kept += (end - start) * (y1 - y0)
    return float(v.offcut_credit) * kept / float(board.area)


def _between(start: float, end: float, gone: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    for low, high in gone:
        if low > start:
            yield start, low
        start = max(start, high)
    if end > start:
        yield start, end


def finished_area(wants: Sequence[Want]) -> Fraction:
    """Square feet of footprint that the wants come to."""
    return sum((w.area for w in wants), Fraction(0)) / 144
