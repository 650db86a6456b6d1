"""What stays and what was planned anew, put together to one plan of each board."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import count

from yieldopt.ground.names import lettered
from yieldopt.planning.finish.cutting import Parted, part_cuts
from yieldopt.planning.finish.room import Edges
from yieldopt.replanning.hits import thrown_in
from yieldopt.replanning.keeping import Free, Kept
from yieldopt.replanning.money import priced
from yieldopt.replanning.spent import in_blank, spent
from yieldopt.replanning.wood import EPS, Wood, holding, saw, whole_board
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Spoiled
from yieldopt.wood.rectangles import Rect
from yieldopt.wood.tape import least_strip


def merge(job: Job, kept: Kept, planned: Sequence[BoardPlan]) -> BoardPlan | None:
    """The board's whole plan: what stays of it, and new entries, each inside one piece of its free wood. New blanks,
    offcuts and cuts take the next free names and numbers. None where nothing of the board is cut."""
    if kept.uncut:
        return priced(job, planned[0]) if planned else None
    board = kept.board
    blanks, pieces, offcuts, cuts = list(kept.blanks), list(kept.pieces), list(kept.offcuts), list(kept.cuts)
    letters = (n for n in (f"{board.name}-{lettered(k)}" for k in count(1)) if n not in {b.blank for b in kept.blanks})
    numbers = _numbers(board.name, {o.offcut for o in [*kept.offcuts, *(f.idle for f in kept.free if f.idle)]})
    order = max((c.order for c in cuts), default=0)
    for free in kept.free:
        entry = next((e for e in planned if _within(free, e)), None)
        if entry is None:
            if free.idle is None:
                continue
            entry = BoardPlan(board.name, Fraction(0), Fraction(0), offcuts=(free.idle,))
        names = {b.blank: next(letters) for b in entry.blanks}
        mine = [replace(o, offcut=o.offcut if o is free.idle and o.offcut else next(numbers)) for o in entry.offcuts]
        rects = [Rect(b.x, b.y, b.length, b.width) for b in entry.blanks] + [Rect(o.x, o.y, o.length, o.width) for o in mine]
        for cut in [*_rough(job, board, free.wood, rects, entry.blanks), *(c for c in entry.cuts if c.stage != "rough")]:
            order += 1
            cuts.append(replace(cut, order=order, blank=names[cut.blank] if cut.blank else None))
        blanks += [replace(b, blank=names[b.blank]) for b in entry.blanks]
        pieces += [replace(p, blank=names[p.blank]) for p in entry.pieces]
        offcuts += mine
    whole = BoardPlan(
        board.name,
        board.price,
        Fraction(0),
        tuple(sorted(cuts, key=lambda c: c.order)),
        tuple(blanks),
        tuple(pieces),
        tuple(offcuts),
        kept.spoiled,
        kept.stress_strip,
        kept.no_stress_strip,
    )
    return priced(job, whole)


def homeless(kept: Kept | None, planned: Sequence[BoardPlan]) -> list[BoardPlan]:
    """New entries of a board that `merge` has no wood for: there should be none, and if there is one its pieces have no place
    and have to be named."""
    if kept is None or kept.uncut:
        return list(planned[1:])
    homes = [next((e for e in planned if _within(free, e)), None) for free in kept.free]
    return [e for e in planned if not any(e is h for h in homes)]


def _within(free: Free, entry: BoardPlan) -> bool:
    return bool(entry.blanks) and free.wood.holds(entry.blanks[0])


def _numbers(board: str, taken: set[str]) -> Iterator[str]:
    n = 0
    while True:
        n += 1
        if f"{board}-offcut-{n}" not in taken:
            yield f"{board}-offcut-{n}"


def _rough(job: Job, board: Board, wood: Wood, rects: Sequence[Rect], blanks: Sequence[Blank]) -> list[Cut]:
    """Cuts that part the rectangles inside one piece of wood; its natural sides follow the board. No sliver is cut off
    blanks that lie along them."""
    all_of_it, kerf = whole_board(board), job.shop.kerf
    region = Parted(
        wood.x0,
        wood.x1,
        None if wood.y0 <= all_of_it.y0 + EPS else wood.y0,
        None if wood.y1 >= all_of_it.y1 - EPS else wood.y1,
    )
    stays = Edges(job, board, blanks, least_strip(job)).stays
    sawn = part_cuts(region, rects, "crosscut", kerf.crosscut, kerf.rip, _widest(board, kerf.crosscut), stays)
    return [Cut(0, "rough", s.kind, s.at, s.start, s.end, kerf.crosscut if s.kind == "crosscut" else kerf.rip) for s in sawn]


def _widest(board: Board, kerf: Fraction) -> Callable[[Fraction, Fraction], tuple[Fraction, Fraction]]:
    """The wood at its widest over a stretch; for a crosscut the whole width, so that it parts what is on either side."""
    all_of_it = whole_board(board)

    def extent(x0: Fraction, x1: Fraction) -> tuple[Fraction, Fraction]:
        if x1 - x0 <= kerf:
            return all_of_it.y0, all_of_it.y1
        ends = [board.channel(x0, x0), board.channel(x1, x1)]
        ends += [(p.near, p.far) for p in board.outline if x0 < p.x < x1]
        return min(e[0] for e in ends), max(e[1] for e in ends)

    return extent


def without(job: Job, entry: BoardPlan, gone: frozenset[str], begun: frozenset[str]) -> BoardPlan:
    """A board's plan without some pieces: their wood is spent in a blank begun, elsewhere it falls off as waste."""
    if not any(p.piece in gone for p in entry.pieces):
        return entry
    # A blank that held a finished piece was excused from what the machines may throw; without that piece it is not.
    rest = replace(entry, pieces=tuple(p for p in entry.pieces if p.piece not in gone))
    board = job.board_named[entry.board]
    thrown = [b for b in entry.blanks if b.blank in begun and thrown_in(job, board, b, rest)]
    unsafe = {b.blank for b in thrown}
    begun = begun - unsafe
    pieces = tuple(p for p in rest.pieces if p.blank not in unsafe)
    in_use = {p.blank for p in pieces} | begun
    layered = {b.blank for b in entry.blanks if b.layers > 1 and b.blank in in_use}
    used_up = tuple(
        Spoiled(p.piece, p.x, p.y, p.length, p.width, p.layer, p.layers, p.blank)
        for p in entry.pieces
        if p.piece in gone and p.blank in begun | layered
    )
    leaves, _ = saw(whole_board(board), [c for c in entry.cuts if c.stage == "rough"])
    apart = [spent(b, entry, holding(leaves, b)) for b in thrown]
    lost = tuple(s for some, _ in apart for s in some)
    before = tuple(s for s in entry.spoiled if not any(in_blank(s, b) for b in thrown))
    blanks = tuple(replace(b, pieces=tuple(n for n in b.pieces if n not in gone)) for b in entry.blanks if b.blank in in_use)
    left = {b.blank for b in blanks}
    cuts = [c for c in entry.cuts if c.blank is None or c.blank in left] + [c for _, cuts in apart for c in cuts]
    in_order = tuple(sorted(cuts, key=lambda c: c.order))
    return priced(job, replace(entry, pieces=pieces, blanks=blanks, cuts=in_order, spoiled=before + used_up + lost))
