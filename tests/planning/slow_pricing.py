"""The best layout of one stock by plain recursion over its cells: the compiled pricing step done again, slowly."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from yieldopt.planning.pricing.sections import PAIR_WIDTH, SectionPricer

Left = tuple[int, ...]
NONE = float("-inf")


def best_worth(pricer: SectionPricer, values: Sequence[float], density: float, caps: Sequence[tuple[int, int]]) -> float:
    """Worth of the best layout when item k of the job is worth `values[k]` and row r may be used at most `cap` times."""
    c = pricer.cells
    g = c.grid
    worth = [values[k] for k in c.items]
    uses = [tuple(int(pricer.gives[k].get(r, 0)) for r, _ in caps) for k in range(len(c.items))]
    wanted = [k for k in range(len(c.items)) if worth[k] > 0]
    rest = (g.units(c.stock.x1) - g.units(c.stock.x0)) // g.step_x

    def may_lie(k: int, x: int, y: int) -> bool:
        if x + c.il[k] > c.X or y + c.iw[k] > c.Y:
            return False
        column = 0 if c.flat else x
        if y < c.near[c.lclass[k], column] or y + c.iw[k] > c.far[c.lclass[k], column]:
            return False
        mine = c.blocks[c.bstart[k] : c.bstart[k + 1]]
        return not any(a <= x < b and lo <= y < hi for a, b, lo, hi in mine)

    strips = [((k,), int(c.il[k]), int(c.iw[k])) for k in wanted]
    for i in wanted:
        for j in wanted:
            narrow, wide = sorted((int(c.iw[i]), int(c.iw[j])))
            if narrow >= PAIR_WIDTH * wide:
                strips.append(((i, j), int(c.il[i] + c.il[j]), wide))

    def less(left: Left, strip: tuple[int, ...]) -> Left | None:
        after = tuple(n - sum(uses[k][m] for k in strip) for m, n in enumerate(left))
        return after if min(after, default=0) >= 0 else None

    def stack(x: int, length: int, clear_for: int, offcut: float, height: int) -> dict[Left, float]:
        """Most worth for each use of the counted rows; `offcut` is the worth of an offcut a row of its width."""

        @cache
        def below(y: int, left: Left) -> float:
            if y >= height:
                return 0.0
            most = below(y + 1, left)
            for strip, along, across in strips:
                if along <= length and y + across <= height:
                    after = less(left, strip)
                    if after is not None and may_lie(strip[0], x, y):
                        if len(strip) == 2 and not may_lie(strip[1], x + int(c.il[strip[0]]), y):
                            continue
                        most = max(most, sum(worth[k] for k in strip) + below(y + across, after))
            if offcut > 0:
                n = 0
                while y + n < c.Y and c.clear[y + n, x] >= clear_for and c.clear[y + n, x] > -1:
                    n += 1
                    if n >= c.umin and y + n + c.ky <= height:
                        most = max(most, offcut * n + below(y + n + c.ky, left))
            return most

        return {left: below(0, left) for left in budgets}

    def every(n: Sequence[int]) -> list[Left]:
        return [()] if not n else [(k, *r) for k in range(n[0] + 1) for r in every(n[1:])]

    budgets = every([cap for _, cap in caps])
    chain: list[dict[Left, float]] = [dict.fromkeys(budgets, 0.0) for _ in range(c.X + 1)]
    inch = g.step_x / g.per_inch
    row = g.step_y / g.per_inch
    lengths = sorted({along for _, along, _ in strips} | {int(n) for n in pricer.lens})
    for x in range(c.X - 1, -1, -1):
        chain[x] = dict(chain[x + 1])
        for length in [*lengths, None]:
            if length is None:
                long = rest - x
                section = stack(x, c.X - x, max(0, long), _kept(long, c.omin_l) * inch * row * density, int(c.height[c.X - x]))
                end = c.X
            elif x + length <= c.X:
                long = length - c.kx
                section = stack(x, length, max(0, long), _kept(long, c.omin_l) * inch * row * density, int(c.height[length]))
                end = x + length
            else:
                continue
            for left in budgets:
                for part in budgets:
                    if all(a <= b for a, b in zip(part, left, strict=True)):
                        remaining = tuple(b - a for a, b in zip(part, left, strict=True))
                        chain[x][left] = max(chain[x][left], section[part] + chain[end][remaining])
    return chain[0][budgets[-1]]


def _kept(cells: int, least: float) -> int:
    return cells if cells >= least - 1e-9 else 0
