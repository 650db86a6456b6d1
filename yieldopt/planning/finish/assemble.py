"""From chosen layouts to the plan: which pieces are kept, what they are called, how each board is cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.ground.names import lettered
from yieldopt.planning.demand.items import BlankSpec, Item
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.finish.cutting import Extent, Kind, Parted, Sawn, part_cuts
from yieldopt.planning.finish.marking import Marked, on_marks
from yieldopt.planning.finish.naming import name_pieces
from yieldopt.planning.finish.room import Edges
from yieldopt.planning.finish.spots import Named, Spot
from yieldopt.planning.layouts.layout import Layout, Placed
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.faces import faults_on
from yieldopt.sizes.sizing import resaw_depths
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Piece, Show, StressStrip
from yieldopt.wood.rectangles import Rect
from yieldopt.wood.tape import least_strip


def board_plans(
    job: Job,
    rows: Sequence[Row],
    items: Sequence[Item],
    stocks: Sequence[Stock],
    layouts: Sequence[Layout],
    taken: Mapping[str, frozenset[str]] | None = None,
    tests: Mapping[int, StressStrip | str] | None = None,
) -> tuple[tuple[BoardPlan, ...], dict[str, int]]:
    """The boards cut, and how many of each part found no place. `taken` holds names of a part's pieces that exist
    already (done, or pinned and placed otherwise) and may not be used again; `tests`, by stock, the strip for a stress test,
    or why there is none, where the layout resaws a board that wants one."""
    layouts = sorted(layouts, key=lambda lay: lay.stock)
    home = {g: _home(g, rows, items, layouts) for g in {r.board_group for r in rows if r.board_group}}
    kept = _within_need(rows, items, layouts, home)
    spots = _spots(items, stocks, layouts, kept)
    named, missing = name_pieces(job, rows, items, layouts, kept, spots, taken or {}, home)
    plans = []
    for k, layout in enumerate(layouts):
        stock = stocks[layout.stock]
        mine = {s: n for s, n in named.items() if s.blank[0] == k}
        if mine or layout.offcuts or kept[k]:
            plan = _board(job, stock, items, layout, k, mine, (tests or {}).get(layout.stock))
            if plan.pieces:
                plans.append(plan)
    return tuple(plans), missing


def _within_need(
    rows: Sequence[Row], items: Sequence[Item], layouts: Sequence[Layout], home: Mapping[str, int]
) -> list[list[int]]:
    """Per layout the placed items that are needed; what supplies a row beyond its need is left out, and so is what a layout
    gives of a group that has its home on another. Staves stay, all of them: wide enough in all is not yet enough for every
    copy, and which are left over shows when they are shared out."""
    left = [r.need for r in rows]
    kept: list[list[int]] = [[] for _ in layouts]
    each = [(k, n, items[p.item].gives) for k, layout in enumerate(layouts) for n, p in enumerate(layout.placed)]
    # What gives most is kept first, so that surplus falls on single pieces rather than on a layer inside a blank.
    each.sort(key=lambda e: (-sum(units for _, units in e[2]), e[0], e[1]))
    for k, n, gives in each:
        counts = [(r, units) for r, units in gives if not rows[r].one_board or home.get(rows[r].group or "") == k]
        if any(left[r] > 0 or rows[r].kind == "stave" for r, _ in counts):
            kept[k].append(n)
            for r, units in counts:
                left[r] -= units
    return [sorted(ns) for ns in kept]


def _home(group: str, rows: Sequence[Row], items: Sequence[Item], layouts: Sequence[Layout]) -> int:
    """The layout that supplies most of a group that must come from one board."""

    def supplied(layout: Layout) -> Fraction:
        gives = layout.gives(items)
        return sum(
            (min(units, rows[r].need) * rows[r].finished for r, units in gives.items() if rows[r].group == group), Fraction(0)
        )

    return max(range(len(layouts)), key=lambda k: supplied(layouts[k]), default=0)


def _spots(
    items: Sequence[Item], stocks: Sequence[Stock], layouts: Sequence[Layout], kept: Sequence[Sequence[int]]
) -> list[Spot]:
    spots = []
    for k, layout in enumerate(layouts):
        name = stocks[layout.stock].name
        for n in kept[k]:
            p = layout.placed[n]
            for b, blank in enumerate(items[p.item].blanks):
                spots += [Spot(name, (k, n, b), q, p.x + q.x, p.y + q.y, items[p.item].at is not None) for q in blank.pieces]
    return spots


def _board(
    job: Job,
    stock: Stock,
    items: Sequence[Item],
    layout: Layout,
    index: int,
    named: Mapping[Spot, Named],
    test: StressStrip | str | None,
) -> BoardPlan:
    by_blank: dict[tuple[int, int], list[Spot]] = {}
    for s in named:
        by_blank.setdefault(s.blank[1:], []).append(s)

    def corner(key: tuple[int, int]) -> tuple[Fraction, Fraction]:
        p = layout.placed[key[0]]
        return p.x + items[p.item].blanks[key[1]].x, p.y

    blanks, pieces = [], []
    for n, key in enumerate(sorted(by_blank, key=corner), start=1):
        placed = layout.placed[key[0]]
        spec = items[placed.item].blanks[key[1]]
        name = f"{stock.name}-{lettered(n)}"
        mine = sorted(by_blank[key], key=lambda s: (s.spec.layer, s.x, s.y))
        # Only layers that hold something are sawn; `surplus.py` saw to it that the others need not be.
        used = sorted({s.spec.layer for s in mine})
        spec = replace(spec, thicknesses=tuple(spec.thicknesses[k - 1] for k in used))
        blanks.append(_blank(name, placed, spec, [named[s].piece for s in mine]))
        for s in mine:
            moved = replace(s, spec=replace(s.spec, layer=used.index(s.spec.layer) + 1, layers=len(used)))
            pieces.append(_piece(job, stock.board, name, moved, named[s], spec))
    offcuts = tuple(
        Offcut(f"{stock.name}-offcut-{k + 1}", r.x, r.y, r.length, r.width)
        for k, r in enumerate(sorted(layout.offcuts, key=lambda r: (r.x, r.y)))
    )
    pinned = frozenset(p.piece for p in job.pins)
    # What was to be resawn may not be, once surplus is left out.
    resawn = any(b.layers > 1 for b in blanks)
    strip = test if resawn and isinstance(test, StressStrip) else None
    why = test if resawn and isinstance(test, str) else None
    marked, strip = _marked(job, stock, layout.first, (blanks, pieces, offcuts), pinned, strip)
    cuts = _cuts(job, stock.board, layout.first, marked, strip)
    credit = sum((o.length * o.width for o in offcuts), Fraction(0)) * stock.density
    money = stock.cost - stock.wood, credit
    return BoardPlan(stock.name, *money, cuts, marked.blanks, marked.pieces, marked.offcuts, (), strip, why)


def _blank(name: str, placed: Placed, spec: BlankSpec, pieces: Sequence[str]) -> Blank:
    return Blank(
        name, placed.x + spec.x, placed.y, spec.length, spec.width, len(spec.thicknesses), spec.thicknesses, tuple(pieces)
    )


def _piece(job: Job, board: Board, blank: str, spot: Spot, name: Named, spec: BlankSpec) -> Piece:
    q = spot.spec
    part = job.parts[q.part]
    show: Show | None = None
    hinge = None
    if part.match_kind == "book":
        show, hinge = "sawn", "far"
    elif part.faces == 1:
        show = _clear_face(job, board, part, spot)
    return Piece(
        name.piece,
        part.name,
        blank,
        spot.x,
        spot.y,
        q.length,
        q.width,
        q.layer,
        q.layers,
        spec.thicknesses[q.layer - 1],
        name.set,
        name.stave,
        show,
        hinge,  # type: ignore[arg-type]
    )


def _clear_face(job: Job, board: Board, part: Part, spot: Spot) -> Show:
    """The face that is clear of sound defects where the part needs one clear face."""
    q = spot.spec
    faulty = faults_on(part, board.defects, spot, job.shop)
    if q.layer == 1 and "A" not in faulty:
        return "A"
    if q.layer == q.layers and "B" not in faulty:
        return "B"
    return "sawn"


def _marked(
    job: Job,
    stock: Stock,
    first: Kind,
    things: tuple[Sequence[Blank], Sequence[Piece], Sequence[Offcut]],
    pinned: frozenset[str],
    strip: StressStrip | None,
) -> tuple[Marked, StressStrip | None]:
    """Rough cuts on marks; a strip for the stress test keeps its place, with what the saw leaves on it."""
    board, extent = stock.board, _extent(job, stock.board)
    if strip is None:
        return on_marks(job, stock, first, things, pinned, extent), None
    blanks, pieces, offcuts = things
    near, far = min(p.near for p in board.outline), max(p.far for p in board.outline)
    whole = Offcut("", strip.x, near, strip.length, far - near)
    found = on_marks(job, stock, first, (blanks, pieces, (*offcuts, whole)), pinned, extent, frozenset({""}))
    wood, from_end = found.rects[-1], job.shop.allowances.stress_strip_from_end
    left = replace(found, offcuts=found.offcuts[:-1], rects=found.rects[:-1])
    if from_end <= wood.x and wood.x + wood.length <= board.length - from_end:
        return left, StressStrip(wood.x, wood.length)
    # Too near an end with the sliver beside it: everything stays where it was laid out.
    rects = [Rect(b.x, b.y, b.length, b.width) for b in blanks] + [Rect(o.x, o.y, o.length, o.width) for o in offcuts]
    return Marked(tuple(blanks), tuple(pieces), tuple(offcuts), tuple(rects)), strip


def _extent(job: Job, board: Board) -> Extent:
    def extent(x0: Fraction, x1: Fraction) -> tuple[Fraction, Fraction]:
        """The wood at its widest over a stretch."""
        if x1 - x0 <= job.shop.kerf.crosscut:
            # A crosscut is written over the whole width of the board, so that it parts whatever lies on either side.
            return min(p.near for p in board.outline), max(p.far for p in board.outline)
        near, far = board.channel(x0, x0)
        near1, far1 = board.channel(x1, x1)
        inner = [p for p in board.outline if x0 < p.x < x1]
        return min([near, near1, *(p.near for p in inner)]), max([far, far1, *(p.far for p in inner)])

    return extent


def _cuts(job: Job, board: Board, first: Kind, on: Marked, strip: StressStrip | None) -> tuple[Cut, ...]:
    kerf, least = job.shop.kerf, least_strip(job)
    widths = {"crosscut": kerf.crosscut, "rip": kerf.rip}
    whole = Parted(Fraction(0), board.length, None, None)
    stays = Edges(job, board, on.blanks, least).stays
    cuts: list[Cut] = []
    sawn: list[Sawn] = []
    halves = [whole]
    if strip is not None:
        # The strip for the test comes off before anything else is cut.
        ends = strip.x - kerf.crosscut, strip.x + strip.length
        sawn = [Sawn("crosscut", at, *_extent(job, board)(at, at + kerf.crosscut)) for at in ends]
        halves = [replace(whole, x1=ends[0]), replace(whole, x0=ends[1] + kerf.crosscut)]
    for part in halves:
        mine = [r for r in on.rects if part.x0 <= r.x < part.x1]
        sawn += part_cuts(part, mine, first, kerf.crosscut, kerf.rip, _extent(job, board), stays)
    for s in sawn:
        cuts.append(Cut(len(cuts) + 1, "rough", s.kind, s.at, s.start, s.end, widths[s.kind]))
    for b in on.blanks:
        for depth in resaw_depths(b.thicknesses, board.stress == "tested", job.shop):
            cuts.append(Cut(len(cuts) + 1, "resaw", "resaw", depth, b.x, b.x + b.length, kerf.resaw, b.blank))
    for b in on.blanks:
        inside = Parted(b.x, b.x + b.length, b.y, b.y + b.width)
        for layer in range(1, b.layers + 1):
            mine = [Rect(q.x, q.y, q.length, q.width) for q in on.pieces if q.blank == b.blank and q.layer == layer]
            for s in part_cuts(inside, mine, "rip", kerf.crosscut, kerf.rip, _nowhere, least=least):
                cuts.append(Cut(len(cuts) + 1, "final", s.kind, s.at, s.start, s.end, widths[s.kind], b.blank, layer))
    return tuple(cuts)


def _nowhere(_x0: Fraction, _x1: Fraction) -> tuple[Fraction, Fraction]:
    """The wood's own edges inside a blank: it has straight sides, and nothing asks."""
    return Fraction(0), Fraction(0)
