"""The best layout of one stock by plain recursion over its cells: the compiled pricing step done again, slowly."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from yieldopt.planning.pricing.sections import SectionPricer
from yieldopt.planning.tuning import USUAL

Left = tuple[int, ...]
NONE = float("-inf")


def best_worth(pricer: SectionPricer, values: Sequence[float], density: float, caps: Sequence[tuple[int, int]]) -> float:
    """Worth of the best layout when item k of the job is worth `values[k]` and row r may be used at most `cap` times."""
    c = pricer.cells
    g = c.grid
    worth = [values[k] for k in c.items]
    uses = [tuple(int(pricer.gives[k].get(r, 0)) for r, _ in caps) for k in range(len(c.items))]
    ground = c.ground
    wanted = [k for k in range(len(c.items)) if worth[k] > 0]
    rest = (g.units(c.stock.x1) - g.units(c.stock.x0)) // g.step_x

    def may_lie(k: int, x: int, y: int) -> bool:
        if x + ground.item_length[k] > ground.length or y + ground.item_width[k] > ground.width:
            return False
        column, kind = 0 if ground.flat else x, ground.length_class[k]
        if y < ground.near[kind, column] or y + ground.item_width[k] > ground.far[kind, column]:
            return False
        mine = ground.blocks[ground.block_start[k] : ground.block_start[k + 1]]
        return not any(a <= x < b and lo <= y < hi for a, b, lo, hi in mine)

    strips = [((k,), int(ground.item_length[k]), int(ground.item_width[k])) for k in wanted]
    for i in wanted:
        for j in wanted:
            narrow, wide = sorted((int(ground.item_width[i]), int(ground.item_width[j])))
            if narrow >= USUAL.pricing.pair_width * wide:
                strips.append(((i, j), int(ground.item_length[i] + ground.item_length[j]), wide))

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
                        if len(strip) == 2 and not may_lie(strip[1], x + int(ground.item_length[strip[0]]), y):
                            continue
                        most = max(most, sum(worth[k] for k in strip) + below(y + across, after))
            if offcut > 0:
                n = 0
                while y + n < ground.width and c.clear[y + n, x] >= clear_for and c.clear[y + n, x] > -1:
                    n += 1
                    if n >= c.offcut_rows and y + n + c.kerf_across <= height:
                        most = max(most, offcut * n + below(y + n + c.kerf_across, left))
            return most

        return {left: below(0, left) for left in budgets}

    def every(n: Sequence[int]) -> list[Left]:
        return [()] if not n else [(k, *r) for k in range(n[0] + 1) for r in every(n[1:])]

    budgets = every([cap for _, cap in caps])
    chain: list[dict[Left, float]] = [dict.fromkeys(budgets, 0.0) for _ in range(ground.length + 1)]
    inch = g.step_x / g.per_inch
    row = g.step_y / g.per_inch
    lengths = sorted({along for _, along, _ in strips} | {int(n) for n in pricer.lens})
    for x in range(ground.length - 1, -1, -1):
        chain[x] = dict(chain[x + 1])
        for length in [*lengths, None]:
            if length is None:
                long = rest - x
                end = ground.length
            elif x + length <= ground.length:
                long = length - c.kerf_along
                end = x + length
            else:
                continue
            worth_a_row = _kept(long, c.offcut_length) * inch * row * density
            section = stack(x, end - x, max(0, long), worth_a_row, int(c.height[end - x]))
            for left in budgets:
                for part in budgets:
                    if all(a <= b for a, b in zip(part, left, strict=True)):
                        remaining = tuple(b - a for a, b in zip(part, left, strict=True))
                        chain[x][left] = max(chain[x][left], section[part] + chain[end][remaining])
    return chain[0][budgets[-1]]


def _kept(cells: int, least: float) -> int:
    return cells if cells >= least - 1e-9 else 0
