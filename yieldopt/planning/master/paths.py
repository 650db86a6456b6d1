"""The cheapest choice of a path along each board, by labels (see `kernels/paths.py`): exact where few labels can be best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from yieldopt.planning.demand.ranges import MOST_GROUPS
from yieldopt.planning.kernels.pathproblem import Problem, look_ahead
from yieldopt.planning.kernels.paths import best_paths
from yieldopt.planning.layouts.arcs import Arc, Track
from yieldopt.planning.master.pathprices import PathPrices, path_prices
from yieldopt.planning.master.restrict import Demand
from yieldopt.planning.wood.stock import Stock

# Labels that go on from a node, in one try after another: a better value drops more of them.
WIDTHS = (256, 2048, 8192)
# Steps of labels along arcs that a try takes at most for each unit of effort: about as long as the solver takes for one.
STEPS = 5.0e6
# Figures that labels hold at most, one a row each: some 200 MB.
MOST_FIGURES = 5.0e7
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
    groups = {row.board_group for row, n in zip(demand.rows, need, strict=True) if n > 0} - {None}
    prices = path_prices(arcs, tracks, need, demand, stocks) if len(groups) <= MOST_GROUPS else None
    if prices is None:
        return Found((), False)
    if prices.value >= known - CHEAPER:
        return Found((), True)
    # Boards in doubt first: what hangs on them shows early.
    order = sorted(tracks, key=lambda t: (abs(prices.used[t.stock] - 0.5), t.stock))
    problem = _problem(arcs, order, need, demand, stocks, prices)
    best: tuple[int, ...] = ()
    figures = sum(t.nodes for t in tracks) * max(1, sum(n > 0 for n in need))
    most = int(min(effort * STEPS / len(arcs), MOST_FIGURES / figures))
    numbers = [k for t in order for _, _, k in t.arcs]
    for width in sorted({min(width, most) for width in WIDTHS} - {0}):
        found, known, proven = best_paths(problem, float(known - CHEAPER), width)
        if len(found):
            best = tuple(numbers[a] for a in found)
        if proven:
            return Found(best, True)
    return Found(best, False)


def _problem(
    arcs: Sequence[Arc],
    tracks: Sequence[Track],
    need: Sequence[float],
    demand: Demand,
    stocks: Sequence[Stock],
    prices: PathPrices,
) -> Problem:
    """What the labels work on; boards come in the order of `tracks`."""
    live = [r for r in range(len(demand.rows)) if need[r] > 0]
    at = {r: n for n, r in enumerate(live)}
    rows = [demand.rows[r] for r in live]
    groups = sorted({q.board_group for q in rows if q.board_group is not None})
    scale = np.array([demand.counts[r].per for r in live], np.float64)
    wanted = [demand.counts[r].wanted(need[r]) for r in live]
    group = np.array([-1 if q.board_group is None else groups.index(q.board_group) for q in rows], np.int64)
    local = np.array([[prices.local.get((r, t.stock), 0.0) for r in live] for t in tracks]).reshape(len(tracks), -1)
    along = [(start, end, arcs[k]) for t in tracks for start, end, k in t.arcs]
    gives = [[(at[r], min(demand.counts[r].given(u), wanted[at[r]])) for r, u in a.gives if r in at] for _, _, a in along]
    first_arc = np.cumsum([0, *(len(t.arcs) for t in tracks)])
    homes = np.zeros((len(tracks), len(groups)), np.bool_)
    for b in range(len(tracks)):
        for r in {r for g in gives[first_arc[b] : first_arc[b + 1]] for r, _ in g if group[r] >= 0}:
            homes[b, group[r]] = True
    problem = Problem(
        first_node=np.cumsum([0, *(t.nodes for t in tracks)]),
        first_arc=first_arc,
        board_cost=np.array([float(stocks[t.stock].cost + stocks[t.stock].idle_credit) for t in tracks]),
        arc_from=np.array([start for start, _, _ in along], np.int64),
        arc_to=np.array([end for _, end, _ in along], np.int64),
        credit=np.array([a.credit for _, _, a in along]),
        give_start=np.cumsum([0, *(len(g) for g in gives)]),
        give_row=np.array([r for g in gives for r, _ in g], np.int64),
        give_units=np.array([u for g in gives for _, u in g], np.int32),
        need=np.array(wanted, np.int32),
        group=group,
        homes=homes,
        keys=np.random.default_rng(0).integers(1, 1 << 62, len(live) + 2 * len(groups), np.int64).astype(np.uint64),
        pi=np.array([prices.rows.get(r, 0.0) for r in live]) / scale,
        local=local / scale,
        penalty=demand.penalty * np.array([float(q.finished) for q in rows]) / scale,
        flat=np.array([demand.penalty * (q.kind == "stave") for q in rows], np.float64),
        ahead=np.zeros(sum(t.nodes for t in tracks)),
        rest=np.zeros(len(tracks) + 1),
        group_ahead=np.zeros((len(tracks) + 1, len(groups))),
    )
    look_ahead(problem)
    return problem
