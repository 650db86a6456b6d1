"""A sheet without defects, items with limited copies: prices for a bound, label lists of growing length, improvement."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from yieldopt.planning.guillotine.grid import make_grid
from yieldopt.planning.guillotine.improve import Improver, items_in
from yieldopt.planning.guillotine.jigsaw import Jigsaw
from yieldopt.planning.guillotine.labels import Labels
from yieldopt.planning.guillotine.layout import NOTHING, Bare, grown, packed
from yieldopt.planning.guillotine.model import Answer, Deadline, Item, Sheet, counts_of
from yieldopt.planning.guillotine.plain import filled
from yieldopt.planning.guillotine.prices import price

# Sums in one table from which on filling it (about a second for 10^9) is the bottleneck.
_LARGE = 100_000_000
# Labels in one run on such a sheet from which on its target is not lowered further at the same length of lists.
_MANY = 50_000
# Share of the time left, and most seconds, for layouts without waste: before the first lists, and between lists.
_FIRST_FILL, _FILL = (0.1, 2.0), (0.5, 60.0)


def step_of(values: Sequence[float]) -> float:
    """The least amount by which two layouts of different value differ, as far as that is known: 1 for whole values."""
    return 1.0 if all(float(v).is_integer() for v in values) else max(values, default=1.0) * 1e-7


def solve_capped(sheet: Sheet, items: Sequence[Item], deadline: Deadline, log: Callable[..., None] | None = None) -> Answer:
    """The best layout of any number of stages within the limits on copies, ignoring defects.

    Stops when value and bound meet or at `deadline` with the best layout found and the bound reached.
    """
    grid = make_grid(sheet, items, capped=True)
    best: tuple[float, Bare] = (0.0, NOTHING)

    def found(bare: Bare, value: float) -> float:
        nonlocal best
        if value > best[0]:
            best = (value, bare)
        return best[0]

    step = step_of([float(v) for v in grid.values])
    priced = price(grid, found, deadline.part(0.25), 300)

    def rounded(bound: float) -> float:
        return float(np.floor(bound + 1e-6)) if step == 1.0 else bound

    everything = float(sum(grid.copies[g] * grid.values[grid.group == g].max() for g in range(len(grid.copies))))
    bound = rounded(min(priced.bound, everything))
    if log:
        log("priced", best[0], bound, deadline.left())
    large = grid.work() > _LARGE
    improver = Improver(sheet, items, step, 1, (0.4 if large else 2.0) * sheet.length * sheet.width)

    def improve(width: int, tries: int) -> None:
        start, room = best[0], bound
        tree = improver.improve(best[1], width, tries, deadline, lambda gain: start + gain > room - 1e-6)
        found(tree, float(sum(items[k].value for k in items_in(tree))))
        if log:
            log("improved", best[0], deadline.left())

    jigsaw = Jigsaw(sheet, items, 1)

    def fill(share: float, most: float) -> None:
        # Only a layout without waste can meet such a bound, and the lists have their hardest time with it; under a lower one
        # there is none.
        if best[0] + 1e-6 < bound and abs(bound - jigsaw.worth) <= 1e-6:
            bare = jigsaw.run(deadline.part(share, most))
            if bare is not None:
                found(bare, jigsaw.worth)
            if log:
                log("filled", best[0], deadline.left())

    fill(*_FIRST_FILL)
    if large and bound > best[0] + 1e-6:
        # A first layout far below the bound leaves the lists nothing to prune with.
        improve(8, 30 if best[0] > 0.97 * bound else 200)
    if bound > best[0] + 1e-6 and not deadline.passed():
        plain = None if large else filled(grid, grid.values)[0]
        # On a large sheet only the part of the tables within a hundredth of the bound at first: the rest takes long.
        drop = 0.01 * bound if large else bound
        labels = Labels(grid, priced, plain, max(best[0] + step, bound - drop))
        width, number, fall = 2, 0, step
        while bound > best[0] + 1e-6 and not deadline.passed():
            # From the bound down: a target that nothing can reach is refuted quickly and lowers the bound.
            fall, lean, flooded = max(step, float(np.floor(fall / 8)) if large else 0.0), 0.0, False
            target = bound
            while not deadline.passed():
                least = max(best[0] + step, labels.least)
                target = max(target, least)
                last = target <= least
                number += 1
                value, bare, complete = labels.run(width, target, step, deadline, lean, step * 1e-3, number)
                if log:
                    log(width, target, lean, value, complete, labels.labels, deadline.left())
                if value > 0:
                    found(bare, value)
                if complete:
                    bound = max(best[0], rounded(target - step)) if value <= 0 else best[0]
                    if bound <= best[0] + 1e-6:
                        break
                    if target <= labels.least:
                        drop *= 4
                        labels = Labels(grid, priced, plain, max(best[0] + step, bound - drop))
                    target, fall = bound - fall, 2 * fall
                elif last and lean == 1.0:
                    break
                elif last:
                    lean = 1.0
                elif not large or value > 0:
                    target = best[0] + step
                elif labels.labels > _MANY:
                    # Longer lists under this target cost less than the flood under a lower one.
                    flooded = True
                    break
                else:
                    # Short lists fall far short of a high target, which leaves little to list.
                    target, fall = bound - fall, 2 * fall
            if bound > best[0] + 1e-6 and not deadline.passed():
                improve(min(4 * width, 256), 20 if flooded else 40 * width.bit_length())
                fill(*_FILL)
            width *= 2
    layout = grown(sheet, items, packed(items, sheet, best[1])[0])
    return Answer(layout, best[0], max(bound, best[0]), counts_of(layout, items))
