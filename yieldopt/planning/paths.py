"""The cheapest choice of a path along each board, by labels (see `kernels/paths.py`): exact where few labels can be best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
import numpy.typing as npt

from yieldopt.planning.arcs import Arc, Track
from yieldopt.planning.kernels.paths import best_paths
from yieldopt.planning.pathprices import PathPrices, path_prices
from yieldopt.planning.restrict import Demand
from yieldopt.planning.stock import Stock

# Labels that go on from a node, in one try after another: a better value drops more of them.
WIDTHS = (256, 2048, 8192)
# Steps of labels along arcs that a try takes at most for each unit of effort: about as long as the solver takes for one.
STEPS = 5.0e6
# Figures that labels hold at most, one a row each: some 200 MB.
FIGURES = 5.0e7
# A choice counts as cheaper by so much money.
CHEAPER = 1e-6


@dataclass(frozen=True)
class Found:
    """Indices of the arcs of the cheapest choice found that costs less than was known; none where there is none. With
    `proven` no choice of these arcs is cheaper."""

    arcs: tuple[int, ...]
    proven: bool


def cheapest(
    arcs: Sequence[Arc],
    tracks: Sequence[Track],
    need: Sequence[float],
    demand: Demand,
    stocks: Sequence[Stock],
    known: float,
    effort: float,
) -> Found:
    """`known` is what a choice must cost less than, with the penalty for what is missing; `effort` is in the solver's units of
    deterministic time (see `restrict.solved`), about."""
    prices = path_prices(arcs, tracks, need, demand, stocks)
    if prices is None:
        return Found((), False)
    if prices.value >= known - CHEAPER:
        return Found((), True)
    # Boards in doubt first: what hangs on them shows early.
    order = sorted(tracks, key=lambda t: (abs(prices.used[t.stock] - 0.5), t.stock))
    problem = _Problem(arcs, order, need, demand, stocks, prices)
    best: tuple[int, ...] = ()
    figures = sum(t.nodes for t in tracks) * max(1, sum(n > 0 for n in need))
    most = int(min(effort * STEPS / len(arcs), FIGURES / figures))
    for width in sorted({min(width, most) for width in WIDTHS} - {0}):
        found, known, proven = problem.solved(known - CHEAPER, width)
        best = found or best
        if proven:
            return Found(best, True)
    return Found(best, False)


class _Problem:
    """The arrays that the labels work on."""

    def __init__(
        self,
        arcs: Sequence[Arc],
        tracks: Sequence[Track],
        need: Sequence[float],
        demand: Demand,
        stocks: Sequence[Stock],
        prices: PathPrices,
    ) -> None:
        live = [r for r in range(len(demand.rows)) if need[r] > 0]
        at = {r: n for n, r in enumerate(live)}
        rows = [demand.rows[r] for r in live]
        groups = sorted({q.group for q in rows if q.one_board and q.group is not None})
        scale = np.array([demand.scale[r] for r in live], np.float64)
        self.need = np.array([demand.whole(r, need[r]) for r in live], np.int32)
        self.group = np.array([groups.index(q.group) if q.one_board and q.group is not None else -1 for q in rows], np.int64)
        self.pi = np.array([prices.rows.get(r, 0.0) for r in live]) / scale
        self.penalty = demand.penalty * np.array([float(q.finished) for q in rows]) / scale
        self.flat = np.array([demand.penalty * (q.kind == "stave") for q in rows])
        self.keys = np.random.default_rng(0).integers(1, 1 << 62, len(live) + 2 * len(groups), np.int64).astype(np.uint64)
        local = [[prices.local.get((t.stock, r), 0.0) for r in live] for t in tracks]
        self.local = np.array(local).reshape(len(tracks), -1) / scale
        self.cost = np.array([float(stocks[t.stock].cost + stocks[t.stock].idle_credit) for t in tracks])
        self.order = [k for t in tracks for _, _, k in t.arcs]
        self.arc_from = np.array([v for t in tracks for v, _, _ in t.arcs], np.int64)
        self.arc_to = np.array([v for t in tracks for _, v, _ in t.arcs], np.int64)
        self.first_arc = np.cumsum([0, *(len(t.arcs) for t in tracks)])
        self.first_node = np.cumsum([0, *(t.nodes for t in tracks)])
        self.credit = np.array([arcs[k].credit for k in self.order])
        most = self.need.tolist()
        gives = [[(at[r], min(demand.whole(r, u), most[at[r]])) for r, u in arcs[k].gives if r in at] for k in self.order]
        self.give_start = np.cumsum([0, *(len(g) for g in gives)])
        self.give_row = np.array([r for g in gives for r, _ in g], np.int64)
        self.give_units = np.array([u for g in gives for _, u in g], np.int32)
        self.homes = np.zeros((len(tracks), len(groups)), np.bool_)
        for b in range(len(tracks)):
            mine = self.give_row[self.give_start[self.first_arc[b]] : self.give_start[self.first_arc[b + 1]]]
            self.homes[b, np.unique(self.group[mine][self.group[mine] >= 0])] = True
        self._look_ahead()

    def _look_ahead(self) -> None:
        """The least that what is ahead of a label adds to its value, at the prices."""
        boards = len(self.cost)
        self.ahead = np.zeros(self.first_node[-1])
        self.rest = np.zeros(boards + 1)
        self.group_ahead = np.zeros((boards + 1, self.homes.shape[1]))
        for g in range(self.homes.shape[1]):
            rows = self.group == g
            # Nowhere at all.
            self.group_ahead[boards, g] = self.penalty[rows] @ self.need[rows]
        for b in reversed(range(boards)):
            worth = np.where(self.group < 0, self.pi, self.local[b])
            mine = slice(self.first_arc[b], self.first_arc[b + 1])
            reduced = [-self.credit[a] - self._worth(worth, a) for a in range(self.first_arc[b], self.first_arc[b + 1])]
            base = self.first_node[b]
            leaving: dict[int, list[tuple[int, float]]] = {}
            for start, end, cost in zip(self.arc_from[mine], self.arc_to[mine], reduced, strict=True):
                leaving.setdefault(int(start), []).append((int(end), float(cost)))
            for v in reversed(range(self.first_node[b + 1] - base - 1)):
                on = [self.ahead[base + v + 1], *(cost + self.ahead[base + end] for end, cost in leaving.get(v, ()))]
                self.ahead[base + v] = min(on)
            self.rest[b] = self.rest[b + 1] + min(0.0, self.cost[b] + self.ahead[base])
            for g in range(self.homes.shape[1]):
                rows = self.group == g
                here = self.local[b, rows] @ self.need[rows] if self.homes[b, g] else inf
                self.group_ahead[b, g] = min(self.group_ahead[b + 1, g], here)

    def _worth(self, worth: npt.NDArray[np.float64], a: int) -> float:
        of = slice(self.give_start[a], self.give_start[a + 1])
        return float(worth[self.give_row[of]] @ self.give_units[of])

    def solved(self, known: float, width: int) -> tuple[tuple[int, ...], float, bool]:
        """Arcs of a choice of less than `known`, if one was found, its value or `known`, and whether there is none cheaper."""
        found, value, proven = best_paths(
            self.first_node,
            self.first_arc,
            self.cost,
            self.arc_from,
            self.arc_to,
            self.credit,
            self.give_start,
            self.give_row,
            self.give_units,
            self.need,
            self.group,
            self.homes,
            self.keys,
            self.pi,
            self.local,
            self.penalty,
            self.flat,
            self.ahead,
            self.rest,
            self.group_ahead,
            known,
            width,
        )
        return tuple(self.order[a] for a in found), float(value), bool(proven)
