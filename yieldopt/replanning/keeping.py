"""What of a board's plan stays as it is, and which pieces of wood are free to be laid out anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.planning.wood.stock import Stock
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.hits import spoils_offcut, thrown_in
from yieldopt.replanning.noted import NOTHING, Noted
from yieldopt.replanning.spent import in_blank, spent
from yieldopt.replanning.wood import EPS, Wood, holding, saw, whole_board
from yieldopt.rules.boards import may_come_from
from yieldopt.sizes.sizing import clear_ends, crook_loss, rough_sizes
from yieldopt.wood.lumber import Board, Job, Part, Shop
from yieldopt.wood.plan import Blank, Cut, Offcut, Piece, Spoiled, StressStrip

# Free wood is laid out from the next mark inwards: a sixty-fourth of an inch, or a tenth of a millimetre.
MARK = {"in": Fraction(1, 64), "mm": Fraction(1, 254)}


@dataclass(frozen=True)
class Free:
    """One piece of wood without anything that must stay: as sawn, as the planner may use it, and what is kept of it if
    nothing better comes of it."""

    wood: Wood
    stock: Stock
    idle: Offcut | None


@dataclass(frozen=True)
class Kept:
    """What stays of one board."""

    board: Board
    cuts: tuple[Cut, ...]
    blanks: tuple[Blank, ...]
    pieces: tuple[Piece, ...]
    spoiled: tuple[Spoiled, ...]
    # Kept offcuts inside blanks.
    offcuts: tuple[Offcut, ...]
    free: tuple[Free, ...]
    # The wood for a stress test, which stays as long as anything of the board's layout does; or why there is none.
    stress_strip: StressStrip | None = None
    no_stress_strip: str | None = None

    @property
    def uncut(self) -> bool:
        """Nothing of it is cut or stays: a whole board again."""
        return not (self.cuts or self.blanks or self.spoiled)


def keep(job: Job, bench: Bench, gone: frozenset[str], offcuts_too: bool, notes: Noted = NOTHING) -> Kept:
    """What stays of a board when the pieces in `gone` do not lie where they did. With `offcuts_too` the cuts that part
    its kept offcuts stay as well, and each is free wood by itself. A bench is asked again and again about one job and keeps
    its answers."""
    question = (gone & bench.names, offcuts_too, notes)
    if question not in bench.answers:
        bench.answers[question] = _kept(job, bench, *question)
    answer: Kept = bench.answers[question]
    return answer


def _kept(job: Job, bench: Bench, gone: frozenset[str], offcuts_too: bool, notes: Noted) -> Kept:
    board, entry = bench.board, bench.plan
    # A finished piece that is set aside excuses its blank no more.
    rest = replace(entry, pieces=tuple(p for p in entry.pieces if p.piece not in gone))
    dropped = [b for b in entry.blanks if b.blank in bench.begun and thrown_in(job, board, b, rest)]
    blanks = [b for b in entry.blanks if b not in dropped and (b.blank in bench.begun or (b.pieces and not gone & set(b.pieces)))]
    names = {b.blank for b in blanks}
    pieces = [p for p in entry.pieces if p.blank in names and p.piece not in gone]
    spoiled = [s for s in entry.spoiled if not any(in_blank(s, b) for b in dropped)]
    spoiled += [_spent(p) for p in entry.pieces if p.blank in names and p.piece in gone]
    apart = [spent(b, entry, holding(bench.leaves, b)) for b in dropped]
    spoiled += [s for some, _ in apart for s in some]
    sound = [o for o in entry.offcuts if o.kept and not spoils_offcut(board, o)]
    inner = [o for o in sound if any(in_blank(o, b) for b in blanks)]
    loose = [o for o in sound if not any(in_blank(o, b) for b in entry.blanks)]
    orders = set(bench.made)
    for b in blanks:
        orders |= set(bench.freeing(b))
    if offcuts_too and (orders or blanks):
        for o in loose:
            orders |= set(bench.freeing(o))
    if entry.stress_strip is not None and orders:
        orders |= {c.order for c in entry.stress_strip.cuts(entry.cuts)}
    orders = bench.closed(orders)
    rough = [c for c in entry.cuts if c.stage == "rough" and c.order in orders] + [c for _, cuts in apart for c in cuts]
    made_inside = [c for c in entry.cuts if c.blank in names]
    left, _ = saw(whole_board(board), rough)
    fixed: list[Blank | Spoiled] = [*blanks, *(s for s in spoiled if not any(in_blank(s, b) for b in blanks))]
    # Waste of a board whose layout stays is no offcut: no line of it would stay where it is.
    anew = not offcuts_too or any(p.piece in gone for p in entry.pieces)
    free = []
    if rough or fixed:
        for wood in left:
            if not any(wood.holds(t) for t in fixed):
                thin = notes.thickness(board.name, wood)
                measured = board if thin is None else replace(board, thickness=min(thin, board.thickness))
                free.append(_free(job, measured, wood, _window(board, wood, left, fixed), loose, anew))
    stay = tuple(
        Blank(b.blank, b.x, b.y, b.length, b.width, b.layers, b.thicknesses, tuple(n for n in b.pieces if n not in gone))
        for b in blanks
    )
    test = (entry.stress_strip, entry.no_stress_strip) if rough or fixed else (None, None)
    return Kept(board, (*rough, *made_inside), stay, tuple(pieces), tuple(spoiled), tuple(inner), tuple(free), *test)


def _spent(p: Piece) -> Spoiled:
    return Spoiled(p.piece, p.x, p.y, p.length, p.width, p.layer, p.layers, p.blank)


def _window(board: Board, wood: Wood, left: Sequence[Wood], fixed: Sequence[Blank | Spoiled]) -> tuple[Fraction, Fraction]:
    """Lowest and highest y that may be used: straightening takes crook from a section once, and what is cut side by side
    from it, new or old, has to fit in the rest."""
    if wood.section is None or board.edges or not board.crook:
        return wood.y0, wood.y1
    usable = board.width - crook_loss(board, wood.section[1] - wood.section[0])
    beside = [t for w in left if w.section == wood.section for t in fixed if w.holds(t)]
    low = min([board.width - usable, *(t.y for t in beside)]) if beside else Fraction(0)
    return max(wood.y0, low), min(wood.y1, low + usable)


def _free(job: Job, board: Board, wood: Wood, window: tuple[Fraction, Fraction], loose: Sequence[Offcut], anew: bool) -> Free:
    mark = MARK[job.units]
    low, high = clear_ends(board, job.shop)
    x0, x1 = max(wood.x0, low), min(wood.x1, high)
    x0, y0 = -(-x0 // mark) * mark, -(-window[0] // mark) * mark
    x1, y1 = max(x0, x1 // mark * mark), max(y0, window[1] // mark * mark)
    density = board.price / board.area * job.shop.values.offcut_credit if board.area else Fraction(0)
    choices = [o for o in loose if wood.holds(o)]
    if anew:
        near, far = board.channel(x0, x1)
        low, high = max(y0, near), min(y1, far)
        choices.append(Offcut("", x0, low, x1 - x0, high - low))
    idle = _idle(job, board, choices)
    credit = idle.length * idle.width * density if idle else Fraction(0)
    return Free(wood, Stock(board, x0, x1, y0, y1, Fraction(0), density, credit), idle)


def _idle(job: Job, board: Board, choices: Sequence[Offcut]) -> Offcut | None:
    """The largest offcut that may be kept of free wood as it is."""
    v = job.shop.values
    good = [
        o for o in choices if o.length >= v.offcut_min_length and o.width >= v.offcut_min_width and not spoils_offcut(board, o)
    ]
    return max(good, key=lambda o: o.length * o.width, default=None)


def usable(job: Job, free: Free) -> bool:
    """Is it large enough to be worth laying out?"""
    s, m = free.stock, job.shop.machines
    return s.x1 - s.x0 >= m.min_mill_length - EPS and s.y1 - s.y0 >= m.min_rip_width - EPS


def may_give(shop: Shop, stock: Stock, part: Part) -> bool:
    """False where no piece of the part can come out of it, whatever else lies there: wrong wood, too thin, too short or
    too narrow."""
    board, a = stock.board, shop.allowances
    if not may_come_from(part, board):
        return False
    if part.thickness + 2 * a.face > board.thickness:
        return False
    for length, width in rough_sizes(part, shop):
        short = part.length + 2 * min(a.end, a.run_end) if part.match_kind == "run" else length
        narrow = part.staves[0] + 2 * a.edge if part.staves is not None else width
        if short <= stock.x1 - stock.x0 and narrow <= stock.y1 - stock.y0:
            return True
    return False
