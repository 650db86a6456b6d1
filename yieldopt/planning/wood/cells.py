"""A stock as the compiled step sees it: which items fit, where they must not lie, how wide it is, in grid cells.

Two readings of the same stock. *Tight*: every size rounded up, so each layout can be cut. *Loose*: every size rounded
down and every place granted that some position within the cell allows, so no layout on the real board is missed: the
bound is taken from it. Where all sizes and places lie on the grid, the two are the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, floor

import numpy as np
import numpy.typing as npt

from yieldopt.lumber import Job
from yieldopt.planning.demand.items import Item
from yieldopt.planning.wood.fits import Fits, ItemUnits, Keepout
from yieldopt.planning.wood.grid import Grid
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.offcuts import unsound

Ints = npt.NDArray[np.int32]
Floats = npt.NDArray[np.float64]

# Slack in inches when outlines, whose edges slope, are rounded to cells: far below the check's tolerance.
HAIR = 1e-9


@dataclass(frozen=True)
class Cells:
    """Arrays for one stock; see `kernels.sections` for what the compiled step makes of them."""

    stock: Stock
    grid: Grid
    loose: bool
    X: int
    Y: int
    # Indices into the job's items, of those that fit, sorted by length.
    items: tuple[int, ...]
    il: Ints
    iw: Ints
    # Lengths and widths in inches, a kerf added to each: the same in both readings, so that they allow the same pairs.
    along: Floats
    across: Floats
    # Class of length of each item, and per class the lowest start and highest end across the board.
    lclass: Ints
    flat: bool
    near: Ints
    far: Ints
    # Start cells forbidden to item k: rows bstart[k] to bstart[k + 1] of (x from, x to, y from, y to), ends excluded.
    blocks: Ints
    bstart: Ints
    # Cells without an unsound defect from x on, per row; offcuts need them.
    clear: Ints
    # Height in cells of a section of L cells, L = 0..X.
    height: Ints
    # Kerfs in whole cells, least offcut in cells, and what rounding grants an offcut.
    kx: int
    ky: int
    omin_l: float
    umin: int
    # Width in inches of the narrowest strip in which an offcut is wide enough to keep, its kerf included.
    least_across: float
    bonus: int

    @property
    def least_section(self) -> int:
        """Cells of the shortest section in which an offcut is long enough to keep."""
        return (floor(self.omin_l + HAIR) if self.loose else ceil(self.omin_l - HAIR)) + self.kx

    def only(self, keep: npt.NDArray[np.intp]) -> Cells:
        """The same for the items at these places in `items`, ascending."""
        blocks = [self.blocks[self.bstart[k] : self.bstart[k + 1]] for k in keep]
        return replace(
            self,
            items=tuple(self.items[k] for k in keep),
            il=self.il[keep],
            iw=self.iw[keep],
            along=self.along[keep],
            across=self.across[keep],
            lclass=self.lclass[keep],
            blocks=np.concatenate(blocks) if blocks else self.blocks[:0],
            bstart=np.cumsum([0, *map(len, blocks)]).astype(np.int32),
        )

    def same_as(self, other: Cells) -> bool:
        """True where both readings give the same layouts."""
        arrays = ("il", "iw", "near", "far", "blocks", "bstart", "clear", "height")
        return (self.X, self.Y, self.items, self.kx, self.ky, self.umin) == (
            other.X,
            other.Y,
            other.items,
            other.kx,
            other.ky,
            other.umin,
        ) and all(np.array_equal(getattr(self, a), getattr(other, a)) for a in arrays)


def make_cells(
    stock: Stock, items: Sequence[Item], units: Sequence[ItemUnits], grid: Grid, job: Job, loose: bool, fits: Fits
) -> Cells:
    """Arrays for `stock`, of which `fits` tells the items."""
    shop, fit, keep = job.shop, list(fits.items), fits.keepouts
    gx, gy = grid.step_x, grid.step_y
    kx, ky = grid.units(shop.kerf.crosscut), grid.units(shop.kerf.rip)
    x0, y0 = grid.units(stock.x0), grid.units(stock.y0)
    X = max(0, (grid.units(stock.x1) - x0 + kx) // gx)
    Y = max(0, (grid.units(stock.y1) - y0 + ky) // gy)

    def size(length: int, step: int) -> int:
        return length // step if loose else -(-length // step)

    lengths = {i: units[i].length for i in fit}
    widths = {i: units[i].width for i in fit}
    cell = {i: (size(lengths[i] + kx, gx), size(widths[i] + ky, gy)) for i in fit}
    spots: dict[int, tuple[int, int]] = {}
    for i in [i for i in fit if items[i].at is not None]:
        spot = _pinned_cells(items[i], stock, grid, keep[i], kx, ky, loose)
        if spot is None:
            fit.remove(i)
        else:
            spots[i], cell[i] = spot
    fit = [i for i in fit if cell[i][0] <= X and cell[i][1] <= Y]
    fit.sort(key=lambda i: (cell[i][0], i))
    fit = _without_twins(fit, items, units, keep)
    il = np.array([cell[i][0] for i in fit], np.int32)
    iw = np.array([cell[i][1] for i in fit], np.int32)
    classes = sorted({lengths[i] for i in fit})
    # Pinned items were held against the outline exactly; their class, the last one, has no limits.
    lclass = np.array([len(classes) if i in spots else classes.index(lengths[i]) for i in fit], np.int32)
    height = _heights(stock, grid, X, Y, kx)
    flat = not stock.board.edges
    if flat:
        near = np.zeros((len(classes) + 1, 1), np.int32)
        far = np.array([[int(height[min(X, size(c + kx, gx))])] for c in classes] + [[Y]], np.int32)
    else:
        near, far = _outline(stock, grid, classes, X, Y, ky, loose)
    blocks: list[tuple[int, int, int, int]] = []
    bstart = [0]
    for i in fit:
        if i in spots:
            blocks += _all_but(spots[i], X, Y)
        else:
            blocks += [_block(k, grid, x0, y0, loose) for k in keep[i]]
        bstart.append(len(blocks))
    block_array = np.array(blocks, np.int32).reshape(-1, 4)
    clear = _clear(stock, grid, X, Y, near, far, flat, loose)
    v = shop.values
    omin_w = grid.units(v.offcut_min_width)
    return Cells(
        stock,
        grid,
        loose,
        X,
        Y,
        tuple(fit),
        il,
        iw,
        np.array([float(items[i].length + shop.kerf.crosscut) for i in fit], np.float64),
        np.array([float(items[i].width + shop.kerf.rip) for i in fit], np.float64),
        lclass,
        flat,
        near,
        far,
        block_array,
        np.array(bstart, np.int32),
        clear,
        height,
        kx // gx if loose else -(-kx // gx),
        ky // gy if loose else -(-ky // gy),
        grid.units(v.offcut_min_length) / gx,
        max(1, size(omin_w, gy)),
        float(v.offcut_min_width + shop.kerf.rip),
        int(loose and (omin_w % gy != 0 or ky % gy != 0 or not _on_grid(stock, grid))),
    )


def _pinned_cells(
    item: Item, stock: Stock, grid: Grid, keep: Sequence[Keepout], kx: int, ky: int, loose: bool
) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Corner cell, and size in cells, of an item that must lie at one place; None where it can't lie there."""
    if item.at is None or item.at[0] != stock.name:
        return None
    _, x, y = item.at
    near, far = stock.board.channel(x, x + item.length)
    if x < stock.x0 or x + item.length > stock.x1 or y < max(near, stock.y0) or y + item.width > min(far, stock.y1):
        return None
    ux, uy = grid.units(x), grid.units(y)
    if any(k.x0 < ux < k.x1 and k.y0 < uy < k.y1 for k in keep):
        return None
    a, b = ux - grid.units(stock.x0), uy - grid.units(stock.y0)
    end_a, end_b = a + grid.units(item.length) + kx, b + grid.units(item.width) + ky
    corner = (a // grid.step_x, b // grid.step_y)
    if loose:
        return corner, (end_a // grid.step_x - corner[0], end_b // grid.step_y - corner[1])
    return corner, (-(-end_a // grid.step_x) - corner[0], -(-end_b // grid.step_y) - corner[1])


def _all_but(spot: tuple[int, int], X: int, Y: int) -> list[tuple[int, int, int, int]]:
    """Blocks that leave one start cell."""
    x, y = spot
    return [(0, x, 0, Y), (x + 1, X, 0, Y), (x, x + 1, 0, y), (x, x + 1, y + 1, Y)]


def _without_twins(
    fit: Sequence[int], items: Sequence[Item], units: Sequence[ItemUnits], keep: Mapping[int, Sequence[Keepout]]
) -> list[int]:
    """One of each set of items that give the same from the same footprint and keep clear of the same places: faces that
    show differ only where a defect is on one of them, and gangs in another order only where something lies between."""
    seen: dict[tuple[object, ...], int] = {}
    for i in fit:
        item = items[i]
        seen.setdefault((units[i].length, units[i].width, item.at, tuple(sorted(item.gives)), frozenset(keep[i])), i)
    return list(seen.values())


def _on_grid(stock: Stock, grid: Grid) -> bool:
    """True where every edge that an offcut could end at lies on the grid across the board."""
    if stock.board.edges or stock.board.crook:
        return False
    y0 = grid.units(stock.y0)
    places = [grid.units(stock.y1) - y0]
    for d in stock.board.defects:
        places += [grid.units(d.y) - y0, grid.units(d.y + d.width) - y0]
    return all(p % grid.step_y == 0 for p in places)


def _heights(stock: Stock, grid: Grid, X: int, Y: int, kx: int) -> Ints:
    """Cells of width that a section of L cells has: crook takes crook x (s / L)^2 once."""
    board = stock.board
    if board.edges or not board.crook:
        return np.full(X + 1, Y, np.int32)
    s = np.maximum(0.0, np.arange(X + 1) * grid.along - kx / grid.per_inch)
    loss = float(board.crook) * (s / float(board.length)) ** 2
    usable = float(stock.y1 - stock.y0) - loss
    ky = float(stock.y1 - stock.y0)
    total: Ints = np.floor((usable - ky + HAIR) / grid.across).astype(np.int32)
    return np.clip(Y + total, 0, Y).astype(np.int32)


def _block(k: Keepout, grid: Grid, x0: int, y0: int, loose: bool) -> tuple[int, int, int, int]:
    """Start cells from which an item would overlap what it must keep clear of."""
    gx, gy = grid.step_x, grid.step_y
    if loose:
        return (k.x0 - x0) // gx + 1, (k.x1 - x0) // gx, (k.y0 - y0) // gy + 1, (k.y1 - y0) // gy
    return (k.x0 - x0) // gx + 1, -((x0 - k.x1) // gx), (k.y0 - y0) // gy + 1, -((y0 - k.y1) // gy)


def _edges_over(
    stock: Stock, starts: npt.NDArray[np.float64], ends: npt.NDArray[np.float64]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Highest near edge and lowest far edge over each [start, end], in inches."""
    xs = np.array([float(p.x) for p in stock.board.outline])
    near = np.array([float(p.near) for p in stock.board.outline])
    far = np.array([float(p.far) for p in stock.board.outline])
    high = np.maximum(np.interp(starts, xs, near), np.interp(ends, xs, near))
    low = np.minimum(np.interp(starts, xs, far), np.interp(ends, xs, far))
    for x, n, f in zip(xs, near, far, strict=True):
        inside = (starts < x) & (x < ends)
        high = np.where(inside, np.maximum(high, n), high)
        low = np.where(inside, np.minimum(low, f), low)
    return np.maximum(high, float(stock.y0)), np.minimum(low, float(stock.y1))


def _outline(stock: Stock, grid: Grid, classes: Sequence[int], X: int, Y: int, ky: int, loose: bool) -> tuple[Ints, Ints]:
    near = np.zeros((len(classes) + 1, X), np.int32)
    far = np.full((len(classes) + 1, X), Y, np.int32)
    gx, gy = grid.along, grid.across
    start = float(stock.x0) + np.arange(X, dtype=np.float64) * gx
    for c, length in enumerate(classes):
        end = start + length / grid.per_inch
        a, b = (np.minimum(start + gx, end), end) if loose else (start, end)
        high, low = _edges_over(stock, a, b)
        below = (high - float(stock.y0)) / gy
        near[c] = np.clip(np.floor(below + HAIR) if loose else np.ceil(below - HAIR), 0, Y)
        far[c] = np.clip(np.floor((low - float(stock.y0) + ky / grid.per_inch) / gy + HAIR), 0, Y)
    return near, far


def _clear(stock: Stock, grid: Grid, X: int, Y: int, near: Ints, far: Ints, flat: bool, loose: bool) -> Ints:
    """clear[y, x]: cells from x on, in row y, that an offcut may use."""
    gx, gy = grid.step_x, grid.step_y
    free = np.ones((Y, X), np.bool_)
    x0, y0 = grid.units(stock.x0), grid.units(stock.y0)
    length = grid.units(stock.x1) - x0
    cells = -(-length // gx) if loose else length // gx
    free[:, cells:] = False
    for d in unsound(stock.board.defects):
        a, b = grid.units(d.x) - x0, grid.units(d.x + d.length) - x0
        c, e = grid.units(d.y) - y0, grid.units(d.y + d.width) - y0
        if loose:
            xa, xb, ya, yb = -(-a // gx), b // gx, -(-c // gy), e // gy
        else:
            xa, xb, ya, yb = a // gx, -(-b // gx), c // gy, -(-e // gy)
        if xa < xb and ya < yb:
            free[max(ya, 0) : max(yb, 0), max(xa, 0) : max(xb, 0)] = False
    along, across = grid.along, grid.across
    start = float(stock.x0) + np.arange(X, dtype=np.float64) * along
    high, low = _edges_over(stock, start, start + along)
    if loose:
        mid = start + along / 2
        high, low = _edges_over(stock, mid, mid)
        # A row of which less than a hair lies inside gives nothing.
        slope = _steepest(stock) * along
        high, low = high + HAIR - slope, low - HAIR + slope
    bottom = float(stock.y0) + np.arange(Y, dtype=np.float64)[:, None] * across
    if loose:
        free &= (bottom + across > high) & (bottom < low)
    else:
        free &= (bottom >= high - HAIR) & (bottom + across <= low + HAIR)
    # From each cell to the next one that is not free, or the end.
    column = np.arange(X, dtype=np.int32)
    stops = np.where(free, np.int32(X), column)
    return np.minimum.accumulate(stops[:, ::-1], axis=1)[:, ::-1] - column


def _steepest(stock: Stock) -> float:
    """Greatest slope of either edge."""
    points = stock.board.outline
    slopes = [max(abs(b.near - a.near), abs(b.far - a.far)) / (b.x - a.x) for a, b in pairwise(points) if b.x > a.x]
    return float(max(slopes, default=0))
