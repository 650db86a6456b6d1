"""Rough cuts where a person marks them, and no slivers: a last step that moves what is cut within the board's waste.

Blanks grow outward to the marks, kept offcuts count for what they did, and nothing moves into a defect, off the wood or past
what a machine takes. First along the board, then across it; each time every position is one variable of `marklines.Distances`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from yieldopt.planning.finish.cutting import Extent, Kind, Parted, part_cuts
from yieldopt.planning.finish.marklines import Distances
from yieldopt.planning.finish.room import ACROSS, ALONG, Cell, Edges, Leeway, Limits, meet
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.clearance import Span
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Blank, Offcut, Piece
from yieldopt.wood.rectangles import Rect
from yieldopt.wood.tape import FINEST, least_strip, mark_of


@dataclass(frozen=True)
class Marked:
    """What lies on a board once its rough cuts are on marks, and the wood that they leave round each thing."""

    blanks: tuple[Blank, ...]
    pieces: tuple[Piece, ...]
    offcuts: tuple[Offcut, ...]
    rects: tuple[Rect, ...]


def on_marks(
    job: Job,
    stock: Stock,
    first: Kind,
    things: tuple[Sequence[Blank], Sequence[Piece], Sequence[Offcut]],
    pinned: frozenset[str],
    extent: Extent,
    fixed: frozenset[str] = frozenset(),
) -> Marked:
    """The same blanks, pieces and kept offcuts, moved and grown so that as many rough cuts as can be lie on marks and none
    parts off less than the least strip. `pinned` pieces and offcuts named in `fixed` stay where they are."""
    cells = _cells(job, *things, pinned | fixed)
    room = Leeway(job, stock, first, cells)
    for axis in (ALONG, ACROSS):
        _Axis(room, cells, first, axis, extent).settle()
    # A section that has grown loses more to crook.
    return _moved(cells if room.straightened() else _cells(job, *things, pinned | fixed), things)


def _cells(
    job: Job, blanks: Sequence[Blank], pieces: Sequence[Piece], offcuts: Sequence[Offcut], pinned: frozenset[str]
) -> list[Cell]:
    """One a blank or offcut; blanks of one run are one, as nothing but a kerf may lie between them."""
    runs: dict[str, list[Blank]] = {}
    for b in blanks:
        sets = {p.set for p in pieces if p.blank == b.blank and job.part_named[p.part].match_kind == "run"}
        runs.setdefault(next(iter(sets), None) or f"blank {b.blank}", []).append(b)
    cells = []
    for mine in runs.values():
        x, y = min(b.x for b in mine), mine[0].y
        end, top = max(b.x + b.length for b in mine), max(b.y + b.width for b in mine)
        held = tuple(p for p in pieces if any(p.blank == b.blank for b in mine))
        fixed = any(p.piece in pinned for p in held)
        cells.append(Cell([(x, end), (y, top)], [], tuple(sorted(mine, key=lambda b: b.x)), held, fixed=fixed))
    return cells + [Cell([(o.x, o.x + o.length), (o.y, o.y + o.width)], offcut=o, fixed=o.offcut in pinned) for o in offcuts]


def _moved(cells: Sequence[Cell], things: tuple[Sequence[Blank], Sequence[Piece], Sequence[Offcut]]) -> Marked:
    blanks: dict[str, Blank] = {}
    pieces: dict[str, Piece] = {}
    offcuts: dict[str, Offcut] = {}
    rects = []
    for c in cells:
        dx, dy = c.shift
        (x0, x1), (y0, y1) = c.wood
        if c.offcut is not None:
            offcuts[c.offcut.offcut] = replace(c.offcut, x=c.offcut.x + dx, y=c.offcut.y + dy)
            rects.append(c.rect)
        pieces.update((p.piece, replace(p, x=p.x + dx, y=p.y + dy)) for p in c.pieces)
        for b in c.blanks:
            start = x0 if b is c.blanks[0] else b.x + dx
            end = x1 if b is c.blanks[-1] else b.x + dx + b.length
            blanks[b.blank] = replace(b, x=start, y=y0, length=end - start, width=y1 - y0)
            rects.append(Rect(start, y0, end - start, y1 - y0))
    was_blanks, was_pieces, was_offcuts = things
    return Marked(
        tuple(blanks[b.blank] for b in was_blanks),
        tuple(pieces[p.piece] for p in was_pieces),
        tuple(offcuts[o.offcut] for o in was_offcuts),
        tuple(rects),
    )


class _Axis:
    """One pass: the crosscuts along the board, or the rips across it."""

    def __init__(self, room: Leeway, cells: Sequence[Cell], first: Kind, axis: int, extent: Extent) -> None:
        self.room, self.cells, self.axis = room, cells, axis
        job, board = room.job, room.board
        kerf = job.shop.kerf
        self.kind: Kind = "crosscut" if axis == ALONG else "rip"
        self.kerf = kerf.crosscut if axis == ALONG else kerf.rip
        self.mark, self.least = mark_of(job), least_strip(job)
        whole = Parted(Fraction(0), board.length, None, None)
        rects = [c.rect for c in cells]
        sawn = part_cuts(whole, rects, first, kerf.crosscut, kerf.rip, extent)
        self.cuts = [s for s in sawn if s.kind == self.kind]
        # Where the wood ends beside each cut, at its widest.
        self.ends = [(Fraction(0), board.length) if axis == ALONG else extent(s.start, s.end) for s in self.cuts]
        extra = self.kerf + self.least + 2 * self.mark
        self.limits = [room.limits(c, axis, extra) for c in cells]

    def settle(self) -> None:
        """Drop the cuts that part off slivers, put the others on marks, and give each cell the wood between them."""
        gone: set[int] = set()
        for k in range(len(self.cuts)):
            for high in (False, True):
                if k not in gone and self._sliver(k, high, gone):
                    gone.add(k)
        left = [k for k in range(len(self.cuts)) if k not in gone]
        if not left:
            return
        beside = [self._beside(c, left) for c in self.cells]
        places = self._places(left, beside)
        at = dict(zip(left, places, strict=True))
        for cell, limits, (a, b) in zip(self.cells, self.limits, beside, strict=True):
            self._give(cell, limits, None if a is None else at[a] + self.kerf, None if b is None else at[b])

    # -- what lies beside what ------------------------------------------------------------------------------------

    def _reach(self, k: int) -> Span:
        return self.cuts[k].start, self.cuts[k].end

    def _beside(self, cell: Cell, left: Sequence[int]) -> tuple[int | None, int | None]:
        """The nearest cut on either side of a cell; None at the board's own edge or end."""
        wood, other = cell.wood[self.axis], cell.wood[1 - self.axis]
        mine = [k for k in left if meet(self._reach(k), other)]
        low = [k for k in mine if self.cuts[k].at + self.kerf <= wood[0]]
        high = [k for k in mine if self.cuts[k].at >= wood[1]]
        return max(low, key=lambda k: self.cuts[k].at, default=None), min(high, key=lambda k: self.cuts[k].at, default=None)

    def _sliver(self, k: int, high: bool, gone: set[int]) -> bool:
        """Does the cut part off too little on its high or low side, and can what lies on the other side keep that? Then
        it does from now on."""
        left = [j for j in range(len(self.cuts)) if j not in gone]
        beside = [self._beside(c, left) for c in self.cells]
        if any((b[0] if high else b[1]) == k for b in beside):
            return False
        at, mine = self.cuts[k].at, [i for i, b in enumerate(beside) if (b[1] if high else b[0]) == k]
        others = [j for j in left if j != k and meet(self._reach(j), self._reach(k))]
        if high:
            next_one = min((self.cuts[j].at for j in others if self.cuts[j].at >= at + self.kerf), default=None)
            edge = self.ends[k][1] if next_one is None else next_one
            waste = edge - at - self.kerf
        else:
            next_one = max((self.cuts[j].at + self.kerf for j in others if self.cuts[j].at + self.kerf <= at), default=None)
            edge = self.ends[k][0] if next_one is None else next_one
            waste = at - edge
        if waste >= self.least:
            return False
        takes = [self._takes(i, high, edge, natural=next_one is None, waste=waste) for i in mine]
        if not mine or any(t is None for t in takes):
            return False
        for i, to in zip(mine, takes, strict=True):
            assert to is not None
            now = self.cells[i].wood[self.axis]
            self.cells[i].wood[self.axis] = (now[0], to) if high else (to, now[1])
        return True

    def _takes(self, i: int, high: bool, edge: Fraction, natural: bool, waste: Fraction) -> Fraction | None:
        """Where a cell's wood ends if it keeps all up to `edge`; None where it may not."""
        cell, limits = self.cells[i], self.limits[i]
        wood = cell.wood[self.axis]
        to = min(edge, limits.high) if high else max(edge, limits.low)
        if natural:
            # Inwards to what a tape shows, as an outline's edges lie anywhere.
            fine = FINEST[self.room.job.units]
            to = max(to // fine * fine, wood[1]) if high else min(-(-to // fine) * fine, wood[0])
        size = to - wood[0] if high else wood[1] - to
        if cell.offcut is not None:
            return to
        grows = size <= limits.most
        if natural and waste < 0:
            # Less than a kerf: no saw takes that off.
            return to if grows else wood[1 if high else 0]
        if not grows:
            return None
        if not natural:
            return to if to == edge else None
        rest = abs(edge - to)
        if self.axis == ALONG:
            return to if rest < fine else None
        y, width = (wood[0], size) if high else (to, size)
        grown = [replace(b, y=y, width=width) for b in cell.blanks]
        keep = Edges(self.room.job, self.room.board, grown, self.least)
        return to if keep.stays([Rect(b.x, y, b.length, width) for b in grown], rest, not high) else None

    # -- where the cuts go ----------------------------------------------------------------------------------------

    def _places(self, left: Sequence[int], beside: Sequence[tuple[int | None, int | None]]) -> list[Fraction]:
        """Positions of the cuts `left`, in that order."""
        node: dict[int | None, int] = {None: 0} | {k: n for n, k in enumerate(left, 1)}
        apart: list[tuple[int, int, Fraction]] = []
        for n, k in enumerate(left, 1):
            low, high = self.ends[k]
            at = self.cuts[k].at
            apart += [(0, n, low + min(self.least, at - low)), (n, 0, -high + self.kerf)]
            for j in left:
                between = self.cuts[j].at - at - self.kerf
                if between >= 0 and meet(self._reach(j), self._reach(k)):
                    apart.append((n, node[j], self.kerf + min(self.least, between)))
        for cell, limits, (low_cut, high_cut) in zip(self.cells, self.limits, beside, strict=True):
            apart += self._room_of(cell, limits, node[low_cut], node[high_cut])
        now = [self.cuts[k].at for k in left]
        lengths = [self.mark, *now, *(w for _, _, w in apart)]
        unit = lcm(*(v.denominator for v in lengths))
        d = Distances([int(v * unit) for v in now])
        for i, j, w in apart:
            d.apart(i, j, int(w * unit))
        return [Fraction(p, unit) for p in d.settled(int(self.mark * unit) or 1)]

    def _room_of(self, cell: Cell, limits: Limits, low: int, high: int) -> list[tuple[int, int, Fraction]]:
        """What a cell asks of the cuts beside it: `low` and `high` are their nodes, 0 for none."""
        size, wood, kerf = cell.size(self.axis), cell.wood[self.axis], self.kerf
        most = max(limits.most, wood[1] - wood[0])
        found: list[tuple[int, int, Fraction]] = []
        if low:
            # Its wood begins a kerf beyond the cut: not below its limit, and in time for what it needs.
            found += [(0, low, limits.low - kerf), (low, 0, kerf - limits.last)]
        if high:
            found += [(0, high, limits.first + size), (high, 0, -limits.high)]
        if low and high:
            found += [(low, high, kerf + size), (high, low, -kerf - most)]
        # Along the board's own edge it may use the last of the wood.
        elif low:
            found += [(low, 0, kerf + size - max(wood[1], limits.high)), (0, low, wood[1] - most - kerf)]
        elif high:
            found += [(0, high, min(wood[0], limits.low) + size), (high, 0, -wood[0] - most)]
        return found

    def _give(self, cell: Cell, limits: Limits, low: Fraction | None, high: Fraction | None) -> None:
        """The cell's wood between its cuts, and what it needs as near to its place of now as that allows."""
        wood, need, size = cell.wood[self.axis], cell.need[self.axis], cell.size(self.axis)
        start, end = min(limits.low, wood[0]), max(limits.high, wood[1])
        start, end = start if low is None else max(low, start), end if high is None else min(high, end)
        at = min(max(need[0], limits.first, start), limits.last, end - size)
        cell.wood[self.axis] = (min(wood[0], at) if low is None else start, max(wood[1], at + size) if high is None else end)
        cell.need[self.axis] = (at, at + size)
        cell.shift[self.axis] += at - need[0]
