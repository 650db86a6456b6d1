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

from yieldopt.planning.demand.items import Item
from yieldopt.planning.kernels.stock import Ground, Ints
from yieldopt.planning.wood.fits import Fits, ItemUnits, Keepout
from yieldopt.planning.wood.grid import Grid
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.clearance import logged
from yieldopt.rules.offcuts import unsound
from yieldopt.wood.lumber import Job, Shop

Floats = npt.NDArray[np.float64]
# Along and across; x from, x to, y from, y to, ends excluded.
Cell = tuple[int, int]
Block = tuple[int, int, int, int]

# Slack in inches when outlines, whose edges slope, are rounded to cells: far below the check's tolerance.
HAIR = 1e-9


@dataclass(frozen=True)
class Cells:
    """Arrays for one stock; see `kernels.stock` for what the compiled step makes of them."""

    stock: Stock
    grid: Grid
    loose: bool
    # Indices into the job's items, of those that fit, sorted by length.
    items: tuple[int, ...]
    # Where they may lie.
    ground: Ground
    # Lengths and widths in inches, a kerf added to each: the same in both readings, so that they allow the same pairs.
    true_length: Floats
    true_width: Floats
    # Cells without an unsound defect from x on, per row; offcuts need them.
    clear: Ints
    # Rows of a section of L cells, L = 0 to all.
    height: Ints
    # Kerfs in whole cells.
    kerf_along: int
    kerf_across: int
    # Least offcut in cells, along the board not rounded; the rows that rounding grants one.
    offcut_length: float
    offcut_rows: int
    granted: int
    # Width in inches of the narrowest strip in which an offcut is wide enough to keep, its kerf included.
    true_offcut_width: float

    @property
    def least_section(self) -> int:
        """Cells of the shortest section in which an offcut is long enough to keep."""
        return (floor(self.offcut_length + HAIR) if self.loose else ceil(self.offcut_length - HAIR)) + self.kerf_along

    def only(self, keep: npt.NDArray[np.intp]) -> Cells:
        """The same for the items at these places in `items`, ascending."""
        g = self.ground
        blocks = [g.blocks[g.block_start[k] : g.block_start[k + 1]] for k in keep]
        return replace(
            self,
            items=tuple(self.items[k] for k in keep),
            ground=g._replace(
                item_length=g.item_length[keep],
                item_width=g.item_width[keep],
                length_class=g.length_class[keep],
                blocks=np.concatenate(blocks) if blocks else g.blocks[:0],
                block_start=np.cumsum([0, *map(len, blocks)]).astype(np.int32),
            ),
            true_length=self.true_length[keep],
            true_width=self.true_width[keep],
        )

    def same_as(self, other: Cells) -> bool:
        """True where both readings give the same layouts."""
        numbers = ("items", "kerf_along", "kerf_across", "offcut_rows")
        ours: tuple[npt.ArrayLike, ...] = (*self.ground, self.clear, self.height)
        theirs: tuple[npt.ArrayLike, ...] = (*other.ground, other.clear, other.height)
        alike = all(getattr(self, n) == getattr(other, n) for n in numbers)
        return alike and all(map(np.array_equal, ours, theirs))


def make_cells(
    stock: Stock, items: Sequence[Item], units: Sequence[ItemUnits], grid: Grid, job: Job, loose: bool, fits: Fits
) -> Cells:
    """Arrays for `stock`, of which `fits` tells the items."""
    shop, keep = job.shop, fits.keepouts
    frame = _frame(stock, grid, shop, loose)
    sizes = {i: frame.size(units[i].length, units[i].width) for i in fits.items}
    spots: dict[int, Cell] = {}
    fit = list(fits.items)
    for i in [i for i in fit if items[i].at is not None]:
        spot = _pinned_cells(items[i], frame, keep[i])
        if spot is None:
            fit.remove(i)
        else:
            spots[i], sizes[i] = spot
    fit = [i for i in fit if sizes[i][0] <= frame.length and sizes[i][1] <= frame.width]
    fit.sort(key=lambda i: (sizes[i][0], i))
    fit = _without_twins(fit, items, units, keep)
    classes = sorted({units[i].length for i in fit})
    height = _heights(frame)
    near, far = _outline(frame, classes) if stock.board.edges else _flat(frame, classes, height)
    blocks = [_all_but(spots[i], frame) if i in spots else [_block(k, frame) for k in keep[i]] for i in fit]
    ground = Ground(
        frame.length,
        frame.width,
        np.array([sizes[i][0] for i in fit], np.int32),
        np.array([sizes[i][1] for i in fit], np.int32),
        not stock.board.edges,
        near,
        far,
        # Pinned items were held against the outline exactly; their class, the last one, has no limits.
        np.array([len(classes) if i in spots else classes.index(units[i].length) for i in fit], np.int32),
        np.array([b for mine in blocks for b in mine], np.int32).reshape(-1, 4),
        np.cumsum([0, *map(len, blocks)]).astype(np.int32),
    )
    v, gx, gy = shop.values, grid.step_x, grid.step_y
    least = grid.units(v.offcut_min_width)
    return Cells(
        stock,
        grid,
        loose,
        tuple(fit),
        ground,
        np.array([float(items[i].length + shop.kerf.crosscut) for i in fit], np.float64),
        np.array([float(items[i].width + shop.kerf.rip) for i in fit], np.float64),
        _clear(frame),
        height,
        frame.kerf_along // gx if loose else -(-frame.kerf_along // gx),
        frame.kerf_across // gy if loose else -(-frame.kerf_across // gy),
        grid.units(v.offcut_min_length) / gx,
        max(1, frame.rounded(least, gy)),
        int(loose and (least % gy != 0 or frame.kerf_across % gy != 0 or not _on_grid(frame))),
        float(v.offcut_min_width + shop.kerf.rip),
    )


@dataclass(frozen=True, slots=True)
class _Frame:
    """A stock on the grid."""

    stock: Stock
    grid: Grid
    loose: bool
    # Its corner, and the kerfs, in grid units.
    x0: int
    y0: int
    kerf_along: int
    kerf_across: int
    # Its cells.
    length: int
    width: int

    def rounded(self, units: int, step: int) -> int:
        """Cells of a size: down where the reading is loose, up where it is tight."""
        return units // step if self.loose else -(-units // step)

    def size(self, length: int, width: int) -> Cell:
        """Cells of an item of this length and width in grid units."""
        g = self.grid
        return self.rounded(length + self.kerf_along, g.step_x), self.rounded(width + self.kerf_across, g.step_y)


def _frame(stock: Stock, grid: Grid, shop: Shop, loose: bool) -> _Frame:
    u = grid.units
    x0, y0, along, across = u(stock.x0), u(stock.y0), u(shop.kerf.crosscut), u(shop.kerf.rip)
    length = max(0, (u(stock.x1) - x0 + along) // grid.step_x)
    return _Frame(stock, grid, loose, x0, y0, along, across, length, max(0, (u(stock.y1) - y0 + across) // grid.step_y))


def _pinned_cells(item: Item, frame: _Frame, keep: Sequence[Keepout]) -> tuple[Cell, Cell] | None:
    """Corner cell, and size in cells, of an item that must lie at one place; None where it can't lie there."""
    stock, grid = frame.stock, frame.grid
    if item.at is None or item.at[0] != stock.name:
        return None
    _, x, y = item.at
    near, far = stock.board.channel(x, x + item.length)
    if x < stock.x0 or x + item.length > stock.x1 or y < max(near, stock.y0) or y + item.width > min(far, stock.y1):
        return None
    ux, uy = grid.units(x), grid.units(y)
    if any(k.x0 < ux < k.x1 and k.y0 < uy < k.y1 for k in keep):
        return None
    a, b = ux - frame.x0, uy - frame.y0
    x_cell, y_cell = a // grid.step_x, b // grid.step_y
    x_end, y_end = frame.size(a + grid.units(item.length), b + grid.units(item.width))
    return (x_cell, y_cell), (x_end - x_cell, y_end - y_cell)


def _all_but(spot: Cell, frame: _Frame) -> list[Block]:
    """Blocks that leave one start cell."""
    x, y = spot
    return [(0, x, 0, frame.width), (x + 1, frame.length, 0, frame.width), (x, x + 1, 0, y), (x, x + 1, y + 1, frame.width)]


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


def _on_grid(frame: _Frame) -> bool:
    """True where every edge that an offcut could end at lies on the grid across the board."""
    stock, grid = frame.stock, frame.grid
    if stock.board.edges or stock.board.crook:
        return False
    places = [stock.y1, *(y for d in stock.board.defects for y in (d.y, d.y + d.width))]
    return all((grid.units(y) - frame.y0) % grid.step_y == 0 for y in places)


def _heights(frame: _Frame) -> Ints:
    """Rows that a section of L cells has: crook takes crook x (s / L)^2 once."""
    stock, grid, board = frame.stock, frame.grid, frame.stock.board
    if board.edges or not board.crook:
        return np.full(frame.length + 1, frame.width, np.int32)
    s = np.maximum(0.0, np.arange(frame.length + 1) * grid.along - frame.kerf_along / grid.per_inch)
    loss = float(board.crook) * (s / float(board.length)) ** 2
    width = float(stock.y1 - stock.y0)
    lost: Ints = np.floor((width - loss - width + HAIR) / grid.across).astype(np.int32)
    return np.clip(frame.width + lost, 0, frame.width).astype(np.int32)


def _flat(frame: _Frame, classes: Sequence[int], height: Ints) -> tuple[Ints, Ints]:
    """Lowest start and highest end of each class of length where the edges are straight."""
    near = np.zeros((len(classes) + 1, 1), np.int32)
    rows = [int(height[min(frame.length, frame.size(c, 0)[0])]) for c in classes]
    return near, np.array([*rows, frame.width], np.int32).reshape(-1, 1)


def _block(k: Keepout, frame: _Frame) -> Block:
    """Start cells from which an item would overlap what it must keep clear of."""
    gx, gy, x0, y0 = frame.grid.step_x, frame.grid.step_y, frame.x0, frame.y0
    if frame.loose:
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


def _outline(frame: _Frame, classes: Sequence[int]) -> tuple[Ints, Ints]:
    """Lowest start and highest end of each class of length at each start within an outline."""
    stock, grid, loose, rows = frame.stock, frame.grid, frame.loose, frame.width
    near = np.zeros((len(classes) + 1, frame.length), np.int32)
    far = np.full((len(classes) + 1, frame.length), rows, np.int32)
    gx, gy = grid.along, grid.across
    start = float(stock.x0) + np.arange(frame.length, dtype=np.float64) * gx
    for c, length in enumerate(classes):
        end = start + length / grid.per_inch
        a, b = (np.minimum(start + gx, end), end) if loose else (start, end)
        high, low = _edges_over(stock, a, b)
        below = (high - float(stock.y0)) / gy
        near[c] = np.clip(np.floor(below + HAIR) if loose else np.ceil(below - HAIR), 0, rows)
        far[c] = np.clip(np.floor((low - float(stock.y0) + frame.kerf_across / grid.per_inch) / gy + HAIR), 0, rows)
    return near, far


def _clear(frame: _Frame) -> Ints:
    """clear[y, x]: cells from x on, in row y, that an offcut may use."""
    free = _sound(frame) & _inside(frame)
    # From each cell to the next one that is not free, or the end.
    column = np.arange(frame.length, dtype=np.int32)
    stops = np.where(free, np.int32(frame.length), column)
    return np.minimum.accumulate(stops[:, ::-1], axis=1)[:, ::-1] - column


def _sound(frame: _Frame) -> npt.NDArray[np.bool_]:
    """Cells, of rows, within the stock's length and without an unsound defect."""
    stock, grid = frame.stock, frame.grid
    gx, gy, u = grid.step_x, grid.step_y, grid.units
    free = np.ones((frame.width, frame.length), np.bool_)
    length = u(stock.x1) - frame.x0
    free[:, -(-length // gx) if frame.loose else length // gx :] = False
    for d in unsound(stock.board.defects):
        (x0, x1), (y0, y1) = logged(d)
        a, b, c, e = u(x0) - frame.x0, u(x1) - frame.x0, u(y0) - frame.y0, u(y1) - frame.y0
        if frame.loose:
            xa, xb, ya, yb = -(-a // gx), b // gx, -(-c // gy), e // gy
        else:
            xa, xb, ya, yb = a // gx, -(-b // gx), c // gy, -(-e // gy)
        if xa < xb and ya < yb:
            free[max(ya, 0) : max(yb, 0), max(xa, 0) : max(xb, 0)] = False
    return free


def _inside(frame: _Frame) -> npt.NDArray[np.bool_]:
    """Cells, of rows, inside the outline; in the loose reading those that more than a hair of lies inside."""
    stock, along, across = frame.stock, frame.grid.along, frame.grid.across
    start = float(stock.x0) + np.arange(frame.length, dtype=np.float64) * along
    bottom = float(stock.y0) + np.arange(frame.width, dtype=np.float64)[:, None] * across
    if frame.loose:
        mid = start + along / 2
        high, low = _edges_over(stock, mid, mid)
        slope = _steepest(stock) * along
        high, low = high + HAIR - slope, low - HAIR + slope
        inside: npt.NDArray[np.bool_] = (bottom + across > high) & (bottom < low)
        return inside
    high, low = _edges_over(stock, start, start + along)
    whole: npt.NDArray[np.bool_] = (bottom >= high - HAIR) & (bottom + across <= low + HAIR)
    return whole


def _steepest(stock: Stock) -> float:
    """Greatest slope of either edge."""
    points = stock.board.outline
    slopes = [max(abs(b.near - a.near), abs(b.far - a.far)) / (b.x - a.x) for a, b in pairwise(points) if b.x > a.x]
    return float(max(slopes, default=0))
