"""Every layout of the kinds considered, of jobs small enough to enumerate: knows nothing of how the planner searches.

Jobs lie on whole inches once the kerf of 1/4 in is added to every size, so that some optimal layout has every cut on a
whole inch: push each section towards the datum and each strip towards the near edge until it meets a cut or a defect.
The kinds: crosscut first; each section as long as an item or two end to end (narrower of the two at least 0.6 of the
wider), or all that is left at the far end; strips start at the section's crosscut. Rip first: full-length strips as
wide as an item, items of like width end to end in each. Offcuts (on boards without defects only): what is left of a
section beyond its strips, and the far end; what is left of a strip at its far end, and full-length strips.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction as F
from random import Random

from yieldopt.lumber import Board, Defect, Job, Kerf, Part, Shop, Values

KERF = F(1, 4)
PAIR_WIDTH = F(3, 5)
Counts = tuple[int, ...]
# What a layout gives of each part, and the most credit (square inches of kept offcut) it can have with it.
Best = dict[Counts, F]


def tiny_job(seed: int, defects: bool) -> Job:
    """1 to 3 boards, 2 to 4 parts; kept offcuts count only where no board has a defect."""
    rng = Random(seed)
    credit = F(0) if defects else F(3, 5)
    shop = Shop(kerf=Kerf(KERF, KERF, KERF), values=Values(offcut_credit=credit))
    boards = []
    for n in range(rng.randint(1, 3)):
        length, width = rng.randint(34, 46), rng.randint(4, 8)
        marks = []
        for _ in range(rng.randint(0, 1) if defects else 0):
            x, y = rng.randint(4, length - 4), rng.randint(0, width - 2)
            marks.append(Defect("check", "both", F(x), F(y), F(rng.randint(1, 5)), F(1)))
        cost = F(rng.randint(8, 40))
        boards.append(Board(f"B{n}", "oak", "4/4", F(1), length - KERF + 4, width - KERF, F(1), cost=cost, defects=tuple(marks)))
    # Rough sizes with a kerf in whole inches: an end is 1/2, an edge 1/8. One layer only: two do not come out of 4/4.
    parts = [
        Part(f"P{k}", rng.randint(1, 2), "oak", F(3, 4), rng.randint(2, 4) - F(1, 2), rng.randint(15, 24) - F(5, 4))
        for k in range(rng.randint(2, 4))
    ]
    return Job(f"tiny {seed}", "in", tuple(parts), tuple(boards), shop)


class Enumeration:
    """All that one board can give."""

    def __init__(self, job: Job, board: Board) -> None:
        self.need = tuple(p.qty for p in job.parts)
        self.X, self.Y = int(board.length - 4 + KERF), int(board.width + KERF)
        self.size = [(int(p.length + F(5, 4)), int(p.width + F(1, 2))) for p in job.parts]
        self.marks = [(d.x - 2, d.x - 2 + d.length, d.y, d.y + d.width) for d in board.defects]
        self.least = job.shop.values.offcut_min_length, job.shop.values.offcut_min_width
        self.keeps = job.shop.values.offcut_credit > 0
        n = len(self.size)
        alike = [(i, j) for i in range(n) for j in range(n) if self._wide(i, j)]
        self.strips = [(i,) for i in range(n)] + alike

    def _wide(self, i: int, j: int) -> bool:
        a, b = self.size[i][1], self.size[j][1]
        return min(a, b) >= PAIR_WIDTH * max(a, b)

    def _clear(self, k: int, x: int, y: int) -> bool:
        long, wide = self.size[k]
        return not any(x < b and a < x + long - KERF and y < d and c < y + wide - KERF for a, b, c, d in self.marks)

    def _add(self, best: Best, gives: Counts, credit: F) -> None:
        if all(a <= b for a, b in zip(gives, self.need, strict=True)) and credit > best.get(gives, F(-1)):
            best[gives] = credit

    def _fillings(self, x: int, length: int, y: int, room: int) -> Iterator[tuple[int, Counts]]:
        """Strips that fit: width and what each gives."""
        for strip in self.strips:
            at, fits = x, True
            for k in strip:
                fits = fits and self._clear(k, at, y)
                at += self.size[k][0]
            width = max(self.size[k][1] for k in strip)
            if fits and at - x <= length and at <= self.X and width <= room:
                yield width, tuple(strip.count(k) for k in range(len(self.size)))

    def stack(self, x: int, length: int) -> Best:
        """Strips side by side in the section of `length` from `x`."""
        levels: list[Best] = [{} for _ in range(self.Y + 1)]
        levels[0][(0,) * len(self.need)] = F(0)
        for y in range(self.Y):
            for gives, credit in levels[y].items():
                self._add(levels[y + 1], gives, credit)
                for width, more in self._fillings(x, length, y, self.Y - y):
                    self._add(levels[y + width], tuple(a + b for a, b in zip(gives, more, strict=True)), credit)
        whole = dict(levels[self.Y])
        if self.keeps:
            for y in range(self.Y):
                long, wide = length - KERF, self.Y - y - KERF
                if long >= self.least[0] and wide >= self.least[1]:
                    for gives, credit in levels[y].items():
                        self._add(whole, gives, credit + long * wide)
        return whole

    def strip(self, y: int, width: int) -> Best:
        """A full-length strip of `width` from row `y`: items of like width end to end, the rest kept if it is long enough."""
        mine = [k for k, (_, w) in enumerate(self.size) if PAIR_WIDTH * width <= w <= width]
        chain: list[Best] = [{} for _ in range(self.X + 1)]
        chain[self.X][(0,) * len(self.need)] = F(0)
        for x in range(self.X - 1, -1, -1):
            for gives, credit in chain[x + 1].items():
                self._add(chain[x], gives, credit)
            long, wide = self.X - x - KERF, width - KERF
            if self.keeps and long >= self.least[0] and wide >= self.least[1]:
                self._add(chain[x], (0,) * len(self.need), long * wide)
            for k in mine:
                end = x + self.size[k][0]
                if end <= self.X and self._clear(k, x, y):
                    for gives, credit in chain[end].items():
                        self._add(chain[x], tuple(a + (i == k) for i, a in enumerate(gives)), credit)
        return chain[0]

    def ripped(self) -> Best:
        """All that full-length strips side by side can give."""
        levels: list[Best] = [{} for _ in range(self.Y + 1)]
        levels[0][(0,) * len(self.need)] = F(0)
        for y in range(self.Y):
            for gives, credit in levels[y].items():
                self._add(levels[y + 1], gives, credit)
                for wide in range(1, self.Y - y + 1):
                    if self.keeps and self.least[0] <= self.X - KERF and wide - KERF >= self.least[1]:
                        self._add(levels[y + wide], gives, credit + (self.X - KERF) * (wide - KERF))
            for width in {w for _, w in self.size if y + w <= self.Y}:
                for more, worth in self.strip(y, width).items():
                    for gives, credit in levels[y].items():
                        self._add(levels[y + width], tuple(a + b for a, b in zip(gives, more, strict=True)), credit + worth)
        return levels[self.Y]

    def layouts(self) -> Best:
        """All that either way of cutting can give."""
        best = self.sections()
        for gives, credit in self.ripped().items():
            self._add(best, gives, credit)
        return best

    def sections(self) -> Best:
        """All that sections from the datum to the far end can give."""
        lengths = sorted({sum(self.size[k][0] for k in s) for s in self.strips})
        chain: list[Best] = [{} for _ in range(self.X + 1)]
        chain[self.X][(0,) * len(self.need)] = F(0)
        for x in range(self.X - 1, -1, -1):
            for gives, credit in chain[x + 1].items():
                self._add(chain[x], gives, credit)
            for length in [*lengths, self.X - x]:
                if x + length > self.X:
                    continue
                for gives, credit in self.stack(x, length).items():
                    for rest, more in chain[x + length].items():
                        self._add(chain[x], tuple(a + b for a, b in zip(gives, rest, strict=True)), credit + more)
        return chain[0]


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
