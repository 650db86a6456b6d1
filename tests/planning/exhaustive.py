"""Every layout of the kinds considered, of jobs small enough to enumerate: knows nothing of how the planner searches.

Everything lies on whole inches once the kerf of 1/4 in is added: sizes, boards, least offcuts, the gap before each defect;
defects and the clearance round knots end on whole inches. Then some optimal layout has every cut on a whole inch: push each
section towards the datum and each strip towards the near edge until it meets a cut or a defect.

The kinds are those that `docs/explanation/planning.md` names. *Blanks*: a part, short ones ganged, in layers alike; two
short parts in the shortest gang; unlike layers. *Crosscut first*: each section as long as a strip, as the least offcut, or
all that is left; a strip is a blank or two end to end. *Rip first*: full-length strips as wide as a blank or the least
offcut. *Offcuts*: strips of a section; what is left of a full-length strip, and such strips whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction as F
from functools import cached_property
from itertools import combinations, permutations, product

from yieldopt.wood.lumber import SOUND_KINDS, SWIRL_KINDS, THROWN_KINDS, Board, Defect, Job, Part, Shop

KERF = F(1, 4)
ALIKE = F(3, 5)
GANG_ALIKE = WELL_FILLED = F(13, 20)
Counts = tuple[int, ...]
# What a layout gives of each part, and the most credit (square inches of kept offcut) it can have with it.
Best = dict[Counts, F]


@dataclass(frozen=True)
class Lies:
    """A piece in its blank; `layer` from face A."""

    part: int
    x: F
    y: F
    length: F
    width: F
    layer: int = 1


@dataclass(frozen=True)
class Blank:
    """What goes over the machines in one piece. Sizes in inches without kerf; `alone`: it shares no strip of a section."""

    length: F
    width: F
    thicknesses: tuple[F, ...]
    pieces: tuple[Lies, ...]
    alone: bool = False

    @property
    def size(self) -> tuple[int, int]:
        return int(self.length + KERF), int(self.width + KERF)


# -- blanks ---------------------------------------------------------------------------------------------------------


def lies(part: Part, shop: Shop) -> list[tuple[F, F]]:
    """Rough length and width of each way the part may lie."""
    a = shop.allowances
    along = (part.length + 2 * a.end, part.width + 2 * a.edge)
    across = (part.width + 2 * a.end, part.length + 2 * a.edge)
    return [along] if part.grain == "length" or along == across else [along, across]


def depth(thicknesses: Iterable[F], tested: bool, shop: Shop) -> F:
    """Rough thickness that layers need, by the rule on sizes in the contract's words."""
    layers, a = list(thicknesses), shop.allowances
    cuts = len(layers) - 1
    spare = len(layers) * a.resaw_spare if cuts and not tested else F(0)
    return sum(layers, F(0)) + 2 * a.face + cuts * (shop.kerf.resaw + 2 * a.sawn_face) + spare


@dataclass(frozen=True)
class Row:
    """Pieces in one layer: one, or two end to end or side by side; (part, x, y, length, width) of each."""

    thickness: F
    pieces: tuple[tuple[int, F, F, F, F], ...]

    @property
    def length(self) -> F:
        return max(x + a for _, x, _, a, _ in self.pieces)

    @property
    def width(self) -> F:
        return max(y + w for _, _, y, _, w in self.pieces)

    @property
    def area(self) -> F:
        return sum((a * w for *_, a, w in self.pieces), F(0))

    @property
    def parts(self) -> list[int]:
        return sorted(i for i, *_ in self.pieces)


class Blanks:
    """All blanks that a job may cut, whatever the board."""

    def __init__(self, job: Job) -> None:
        self.job, self.shop = job, job.shop
        self.most = max((b.thickness for b in job.boards if b.stress != "no resaw"), default=F(0))
        self.tested = any(b.stress == "tested" for b in job.boards)

    def all(self) -> set[Blank]:
        return {*self._alike(), *self._mixed_gangs(), *self._unlike()}

    def _blank(self, rows: tuple[Row, ...], alone: bool = False) -> Iterator[Blank]:
        m = self.shop.machines
        length = max(m.min_mill_length, *(r.length for r in rows))
        width = max(m.min_rip_width, *(r.width for r in rows))
        widest = min(m.planer_width, m.joint_width if m.wide_flattening == "none" else m.planer_width)
        if len(rows) > 1:
            widest = min(widest, m.resaw_height)
        uses = [sum(r.parts.count(i) for r in rows) for i in range(len(self.job.parts))]
        if width <= widest and all(n <= p.qty for n, p in zip(uses, self.job.parts, strict=True)):
            pieces = tuple(Lies(*piece, layer=k + 1) for k, r in enumerate(rows) for piece in r.pieces)
            yield Blank(length, width, tuple(r.thickness for r in rows), pieces, alone)

    def _in_row(self, i: int, n: int, length: F, width: F) -> Row:
        """Copies of a part end to end."""
        return Row(self.job.parts[i].thickness, tuple((i, k * (length + KERF), F(0), length, width) for k in range(n)))

    def _alike(self) -> Iterator[Blank]:
        shortest = self.shop.machines.min_mill_length
        for i, part in enumerate(self.job.parts):
            for length, width in lies(part, self.shop):
                enough = 1
                while enough * (length + KERF) - KERF < shortest:
                    enough += 1
                for n in range(1, 2 if enough == 1 else enough + 3):
                    for layers in range(1, part.qty + 1):
                        yield from self._blank((self._in_row(i, n, length, width),) * layers)

    def _mixed_gangs(self) -> Iterator[Blank]:
        shortest = self.shop.machines.min_mill_length
        for (i, p), (j, q) in combinations(enumerate(self.job.parts), 2):
            for (a, v), (b, w) in product(lies(p, self.shop), lies(q, self.shop)):
                if p.thickness != q.thickness or min(a, b) >= shortest or min(v, w) < GANG_ALIKE * max(v, w):
                    continue
                fits = {
                    (m, n): m * (a + KERF) + n * (b + KERF) - KERF
                    for m, n in product(range(1, 4), repeat=2)
                    if m <= p.qty and n <= q.qty and m * (a + KERF) + n * (b + KERF) - KERF >= shortest
                }
                for m, n in [mn for mn, total in fits.items() if total == min(fits.values())]:
                    first, second = self._in_row(i, m, a, v), self._in_row(j, n, b, w)
                    beyond = tuple((k, x + m * (a + KERF), y, s, t) for k, x, y, s, t in second.pieces)
                    yield from self._blank((Row(p.thickness, first.pieces + beyond),))

    def _unlike(self) -> Iterator[Blank]:
        singles, doubles = self._rows()
        for a, b in combinations([*singles, *doubles], 2):
            if a.parts != b.parts:
                for rows in ((a, b), (b, a), (a, a, b), (b, b, a)):
                    yield from self._blank(rows, self._poor((a, b)))
        for three in combinations(singles, 3):
            if len({r.parts[0] for r in three}) == 3:
                for rows in permutations(three):
                    yield from self._blank(rows, True)

    def _rows(self) -> tuple[list[Row], list[Row]]:
        """Layers of one piece and of two, in the order of the parts list."""
        pieces = [(i, a, w) for i, p in enumerate(self.job.parts) for a, w in lies(p, self.shop)]
        singles = [self._in_row(i, 1, a, w) for i, a, w in pieces]
        doubles = []
        for (i, a, v), (j, b, w) in product(pieces, repeat=2):
            t = self.job.parts[i].thickness
            if i <= j and t == self.job.parts[j].thickness:
                doubles.append(Row(t, ((i, F(0), F(0), a, v), (j, a + KERF, F(0), b, w))))
                doubles.append(Row(t, ((i, F(0), F(0), a, v), (j, F(0), v + KERF, b, w))))
        return singles, doubles

    def _poor(self, rows: tuple[Row, ...]) -> bool:
        """True unless each layer is one piece that can be milled by itself and fills the blank well."""
        m = self.shop.machines
        area = max(m.min_mill_length, *(r.length for r in rows)) * max(m.min_rip_width, *(r.width for r in rows))
        return any(len(r.pieces) > 1 or r.length < m.min_mill_length or r.area < WELL_FILLED * area for r in rows)

    def sets_of_unlike(self) -> int:
        """How many sets of unlike layers there are to try, any board thick enough."""
        kinds = {
            frozenset(tuple(sorted((q.part, q.x, q.y, q.length) for q in b.pieces if q.layer == k + 1)) for k in range(n))
            for b in self._unlike()
            if (n := len(b.thicknesses)) > 1 and depth(b.thicknesses, self.tested, self.shop) <= self.most
        }
        return len(kinds)


# -- one board ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Strip:
    """Blanks end to end: (blank, inches from the first)."""

    blanks: tuple[tuple[Blank, int], ...]
    length: int
    width: int
    gives: Counts


class Enumeration:
    """All that one board can give."""

    def __init__(self, job: Job, board: Board) -> None:
        self.job, self.board, self.shop = job, board, job.shop
        self.need = tuple(p.qty for p in job.parts)
        self.X, self.Y = int(board.length - 4 + KERF), int(board.width + KERF)
        v = job.shop.values
        self.keeps = v.offcut_credit > 0
        self.least = int(v.offcut_min_length + KERF), int(v.offcut_min_width + KERF)
        # One that has no place on the board makes no strip, and no section is as long as it.
        self.blanks = [b for b in Blanks(job).all() if self._can_mill(b) and self._has_place(b)]
        self.none = (0,) * len(self.need)
        ones = [Strip(((b, 0),), *b.size, self._gives(b)) for b in self.blanks]
        self.ones = ones
        self.strips = self._fewer(ones + [self._end_to_end(a, b) for a, b in product(ones, repeat=2) if self._alike(a, b)])
        kept = {self.least[0]} if self.keeps else set()
        self.lengths = sorted({s.length for s in self.strips} | {s.length for s in ones} | kept)
        self._clear_stacks: dict[int, Best] = {}

    def _can_mill(self, b: Blank) -> bool:
        board = self.board
        if len(b.thicknesses) > 1 and board.stress == "no resaw":
            return False
        if any(not self._may(q.part) or self.job.parts[q.part].thickness < self.shop.machines.min_thickness for q in b.pieces):
            return False
        along, across = b.length / board.length, b.width / board.width
        warp = board.bow * along**2 + board.cup * across**2 + board.twist * along * across / 2
        return depth(b.thicknesses, board.stress == "tested", self.shop) + warp <= board.thickness

    def _may(self, i: int) -> bool:
        part = self.job.parts[i]
        return part.species == self.board.species and (not part.sources or self.board.name in part.sources)

    def _gives(self, b: Blank) -> Counts:
        return tuple(sum(q.part == i for q in b.pieces) for i in range(len(self.need)))

    def _both(self, a: Counts, b: Counts) -> Counts:
        """Pieces beyond the need are waste."""
        return tuple(min(m + n, q) for m, n, q in zip(a, b, self.need, strict=True))

    def _alike(self, a: Strip, b: Strip) -> bool:
        alone = a.blanks[0][0].alone or b.blanks[0][0].alone
        return not alone and min(a.width, b.width) >= ALIKE * max(a.width, b.width) and a.length + b.length <= self.X

    def _end_to_end(self, a: Strip, b: Strip) -> Strip:
        blanks = (a.blanks[0], (b.blanks[0][0], a.length))
        return Strip(blanks, a.length + b.length, max(a.width, b.width), self._both(a.gives, b.gives))

    def _fewer(self, strips: list[Strip]) -> list[Strip]:
        """Without those that another can stand in for everywhere, where no defect makes a difference."""
        if self.board.defects:
            return strips
        best: dict[tuple[int, int], set[Counts]] = {}
        out = []
        for s in sorted(strips, key=lambda s: (s.length, s.width, tuple(-n for n in s.gives))):
            if not any(
                a <= s.length and w <= s.width and any(all(m >= n for m, n in zip(g, s.gives, strict=True)) for g in gs)
                for (a, w), gs in best.items()
            ):
                best.setdefault((s.length, s.width), set()).add(s.gives)
                out.append(s)
        return out

    def _spoils(self, d: Defect, q: Lies, layers: int) -> bool:
        """True where the piece may not hold the defect. With one defect a board, a piece that needs one clear face shows
        the other."""
        part = self.job.parts[q.part]
        reaches = d.face == "both" or (d.face == "A" and q.layer == 1) or (d.face == "B" and q.layer == layers)
        if not reaches or d.kind in part.allow:
            return False
        if d.kind not in SOUND_KINDS:
            return True
        return part.faces == 2 or (part.faces == 1 and d.face == "both")

    @cached_property
    def _keepouts(self) -> dict[Blank, list[tuple[F, F, F, F]]]:
        """For each blank: open rectangles (x from, to, y from, to) that its corner may not be in; x from the trimmed end."""
        return {b: list(self._keepouts_of(b)) for b in self.blanks}

    def _has_place(self, b: Blank) -> bool:
        long, wide = b.size
        kept = list(self._keepouts_of(b))
        places = product(range(self.X - long + 1), range(self.Y - wide + 1))
        return any(self._clear(kept, x, y) for x, y in places)

    @staticmethod
    def _clear(keepouts: Iterable[tuple[F, F, F, F]], x: int, y: int) -> bool:
        return all(not (a < x < c and e < y < f) for a, c, e, f in keepouts)

    def _keepouts_of(self, b: Blank) -> Iterator[tuple[F, F, F, F]]:
        a = self.shop.allowances
        for d in self.board.defects:
            x = d.x - 2
            if d.kind in THROWN_KINDS:
                yield x - b.length, x + d.length, d.y - b.width, d.y + d.width
            u, v = (a.defect_along, a.defect_across) if d.kind in SWIRL_KINDS else (F(0), F(0))
            for q in b.pieces:
                if self._spoils(d, q, len(b.thicknesses)):
                    left, low = x - u - q.x - q.length, d.y - v - q.y - q.width
                    yield left, x + d.length + u - q.x, low, d.y + d.width + v - q.y

    def _may_lie(self, b: Blank, x: int, y: int) -> bool:
        long, wide = b.size
        return self._clear(self._keepouts[b], x, y) and x + long <= self.X and y + wide <= self.Y

    def _sound(self, x: int, end: int, y: int, top: int) -> bool:
        """True where an offcut from x to a kerf before `end`, and y to a kerf before `top`, holds no unsound defect."""
        return not any(
            d.kind not in SOUND_KINDS
            and d.x - 2 < end - KERF
            and x < d.x - 2 + d.length
            and d.y < top - KERF
            and y < d.y + d.width
            for d in self.board.defects
        )

    def _put(self, best: Best, gives: Counts, credit: F) -> None:
        if credit > best.get(gives, F(-1)):
            best[gives] = credit

    def _pruned(self, best: Best) -> Best:
        """Without what gives no more and is worth no more than something else."""
        out: Best = {}
        for gives, credit in sorted(best.items(), key=lambda e: (-sum(e[0]), -e[1])):
            if not any(c >= credit and all(m >= n for m, n in zip(g, gives, strict=True)) for g, c in out.items()):
                out[gives] = credit
        return out

    def stack(self, x: int, length: int) -> Best:
        """Strips side by side in the section of `length` from `x`."""
        reach = F(1) if any(d.kind in SWIRL_KINDS for d in self.board.defects) else F(0)
        if any(d.x - 2 - reach < x + length and x < d.x - 2 + d.length + reach for d in self.board.defects):
            return self._stack(x, length)
        if length not in self._clear_stacks:
            self._clear_stacks[length] = self._stack(x, length)
        return self._clear_stacks[length]

    def _stack(self, x: int, length: int) -> Best:
        levels: list[Best] = [{} for _ in range(self.Y + 1)]
        levels[0][self.none] = F(0)
        fit = [s for s in self.strips if s.length <= length]
        for y in range(self.Y):
            levels[y] = self._pruned(levels[y])
            may = [s for s in fit if all(self._may_lie(b, x + at, y) for b, at in s.blanks)]
            for gives, credit in levels[y].items():
                self._put(levels[y + 1], gives, credit)
                for s in may:
                    self._put(levels[y + s.width], self._both(gives, s.gives), credit)
                if self.keeps and length >= self.least[0]:
                    for top in range(y + self.least[1], self.Y + 1):
                        if self._sound(x, x + length, y, top):
                            self._put(levels[top], gives, credit + (length - KERF) * (top - y - KERF))
        return self._pruned(levels[self.Y])

    def sections(self) -> Best:
        """All that sections from the datum to the far end can give."""
        chain: list[Best] = [{} for _ in range(self.X + 1)]
        chain[self.X][self.none] = F(0)
        for x in range(self.X - 1, -1, -1):
            found = dict(chain[x + 1])
            for length in {n for n in self.lengths if x + n <= self.X} | {self.X - x}:
                for gives, credit in self.stack(x, length).items():
                    for rest, more in chain[x + length].items():
                        self._put(found, self._both(gives, rest), credit + more)
            chain[x] = self._pruned(found)
        return chain[0]

    def strip(self, y: int, width: int) -> Best:
        """A full-length strip from row `y`: blanks of like width end to end, the rest kept if it is large enough."""
        mine = [s for s in self.ones if ALIKE * width <= s.width <= width]
        chain: list[Best] = [{} for _ in range(self.X + 1)]
        chain[self.X][self.none] = F(0)
        for x in range(self.X - 1, -1, -1):
            found = dict(chain[x + 1])
            kept = self.keeps and self.X - x >= self.least[0] and width >= self.least[1]
            if kept and self._sound(x, self.X, y, y + width):
                self._put(found, self.none, (self.X - x - KERF) * (width - KERF))
            for s in mine:
                if self._may_lie(s.blanks[0][0], x, y):
                    for gives, credit in chain[x + s.length].items():
                        self._put(found, self._both(gives, s.gives), credit)
            chain[x] = self._pruned(found)
        return chain[0]

    def ripped(self) -> Best:
        """All that full-length strips side by side can give."""
        widths = {s.width for s in self.ones} | ({self.least[1]} if self.keeps else set())
        levels: list[Best] = [{} for _ in range(self.Y + 1)]
        levels[0][self.none] = F(0)
        for y in range(self.Y):
            levels[y] = self._pruned(levels[y])
            for gives, credit in levels[y].items():
                self._put(levels[y + 1], gives, credit)
                for top in range(y + self.least[1], self.Y + 1):
                    if self.keeps and self.least[0] <= self.X and self._sound(0, self.X, y, top):
                        self._put(levels[top], gives, credit + (self.X - KERF) * (top - y - KERF))
            for width in {w for w in widths if y + w <= self.Y}:
                for more, worth in self.strip(y, width).items():
                    for gives, credit in levels[y].items():
                        self._put(levels[y + width], self._both(gives, more), credit + worth)
        return self._pruned(levels[self.Y])

    def layouts(self) -> Best:
        """All that either way of cutting can give."""
        best = self.sections()
        for gives, credit in self.ripped().items():
            self._put(best, gives, credit)
        return self._pruned(best)


def optimum(job: Job) -> tuple[int, F]:
    """Fewest missing parts, and the least net cost of any plan that misses no more."""
    need = tuple(p.qty for p in job.parts)
    cheapest: dict[Counts, F] = {(0,) * len(need): F(0)}
    for board in job.boards:
        density = board.price / board.area * job.shop.values.offcut_credit
        cut = {gives: board.price - density * credit for gives, credit in Enumeration(job, board).layouts().items()}
        after = dict(cheapest)
        for have, cost in cheapest.items():
            for gives, more in cut.items():
                both = tuple(min(a + b, n) for a, b, n in zip(have, gives, need, strict=True))
                after[both] = min(after.get(both, cost + more), cost + more)
        cheapest = after
    return min((sum(need) - sum(have), cost) for have, cost in cheapest.items())
