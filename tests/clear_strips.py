"""What share of a board comes out as clear strips: the measure that published yields by grade are given in."""

from __future__ import annotations

import math
from collections.abc import Iterable

from yieldopt.wood.lumber import Board, Shop


def clear_strip_yield(board: Board, strip: float = 2.0, shortest: float = 15.0, shop: Shop | None = None) -> float:
    """Share of the board's area in clear two-face strips `strip` inches wide net, at least `shortest` long: ripped side
    by side after the crook is straightened, then crosscut at the flaws, random lengths. 0 to 1.

    Strip width and least length of the published figures are not said; 2 in and 15 in are an inference (the same source
    speaks of parts 2 in wide).
    """
    shop = shop or Shop()
    kerf, cross, trim, edge = (
        float(shop.kerf.rip),
        float(shop.kerf.crosscut),
        float(shop.allowances.board_end),
        float(shop.allowances.edge),
    )
    along = float(shop.allowances.defect_along)
    length, width = float(board.length), float(board.width)
    # Edging: one kerf-wide straightening at each edge and what crook takes.
    usable = width - 2 * edge - float(board.crook)
    count = math.floor((usable + kerf) / (strip + kerf))
    total = 0.0
    for k in range(count):
        y0 = float(board.crook) / 2 + edge + k * (strip + kerf)
        gone = sorted(
            (float(d.x) - (along if "knot" in d.kind else 0.0), float(d.x + d.length) + (along if "knot" in d.kind else 0.0))
            for d in board.defects
            if float(d.y) < y0 + strip and float(d.y + d.width) > y0
        )
        total += sum(run for run in _runs(gone, trim, length - trim, cross) if run >= shortest) * strip
    return total / (length * width)


def _runs(gone: Iterable[tuple[float, float]], start: float, end: float, kerf: float) -> list[float]:
    runs, at = [], start
    for low, high in gone:
        if low > at:
            runs.append(min(low, end) - at)
        at = max(at, high + kerf)
        if at >= end:
            break
    else:
        runs.append(end - at)
    return runs
