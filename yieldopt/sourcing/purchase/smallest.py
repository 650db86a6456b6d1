"""How much to buy so that it suffices with a given chance, boards and hidden flaws being what they may: by quick layouts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from yieldopt.luck.chance import enough, share_error
from yieldopt.luck.grade_wood import wood_of
from yieldopt.sourcing.lay.wants import line_makes, wants_of
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase.needs import Basis, Needs
from yieldopt.wood.lumber import CUBIC_INCHES_PER_BOARD_FOOT

# Added to the net by rule of thumb, as shares of the net: 40 % for FAS and the like, 70 % for common, of finished face area
# (1 / 0.70 and 1 / 0.59, the published yields); magazines and shops say 15 to 100 % and more.
THUMB_BEST, THUMB_COMMON = 0.40, 0.70
# Levels that a line is lowered by at once, at most, to see what that saves for each draw it loses.
AHEAD = 4
HAIR = 1e-9


@dataclass(frozen=True)
class Purchase:
    """The least purchase found that suffices with the chance asked for."""

    # What to ask for of each line, and what a buyer then comes home with on average: board feet, boards, money.
    stock: Mapping[int, float]
    feet: Mapping[int, float]
    boards: Mapping[int, int]
    money: Mapping[int, float]
    chance: float
    error: float
    draws: int
    # (board feet, chance) of smaller and larger purchases, rising.
    curve: tuple[tuple[float, float], ...] = ()

    @property
    def board_feet(self) -> float:
        return sum(self.feet.values())

    @property
    def cost(self) -> float:
        """Money, surcharges and surfacing included."""
        return sum(self.money.values())


def as_bought(needs: Needs, stock: Mapping[int, float], market: Market) -> Purchase:
    """A stock asked for, in board feet, boards and money as they are brought home, with its chance on the same draws."""
    feet = {k: needs.bought(k, f) if f else 0.0 for k, f in stock.items()}
    boards = {k: max(1, round(f / (needs.board(k) or f))) if f else 0 for k, f in feet.items()}
    listed = {k: float(market.lines[k].price_bf + market.lines[k].surfacing_bf) for k in stock}
    money = {k: f * (needs.by_foot(k) or listed[k]) for k, f in feet.items()}
    met = joint(needs, stock)
    return Purchase(dict(stock), feet, boards, money, met, share_error(met, needs.draws), needs.draws)


def smallest(needs: Needs, chance: float, market: Market) -> Purchase | None:
    """The least purchase for which all lines suffice at once often enough.

    From what every draw can do with, and from every line at the same quantile of its own need, lines are lowered one at a time,
    that first which saves most for each draw that it loses; the lesser of the two ends is taken.
    None where even the largest need drawn does not suffice. Bundles are bought whole.
    """
    bundles = {k: float(line.bundle_bf) for k, line in enumerate(market.lines)}
    finite = [d for d in range(needs.draws) if all(some[d] < math.inf for some in needs.feet.values())]
    if not finite or len(finite) < chance * needs.draws - 1e-9:
        return None
    every = {k: max(_bundled(some[d], k, bundles) for d in finite) for k, some in needs.feet.items()}
    alike = next((stock for stock in _quantiles(needs, bundles) if joint(needs, stock) >= chance - HAIR), every)
    ends = []
    for stock in (every, alike):
        while (less := max(_lower(needs, stock, chance, bundles), default=None)) is not None:
            stock = {**stock, less[1]: less[2]}
        ends.append(stock)
    found = as_bought(needs, min(ends, key=lambda stock: sum(stock.values())), market)
    return Purchase(found.stock, found.feet, found.boards, found.money, found.chance, found.error, found.draws,
                    tuple(_curve(needs, bundles)))  # fmt: skip


def _lower(
    needs: Needs, stock: Mapping[int, float], chance: float, bundles: Mapping[int, float]
) -> Iterator[tuple[float, int, float]]:
    """Each line lowered to the next few levels of its needs: feet saved for each draw lost, line, level."""
    before = joint(needs, stock)
    for k, now in stock.items():
        levels = sorted({_bundled(f, k, bundles) for f in needs.feet[k] if f < now} - {now}, reverse=True)
        for level in levels[:AHEAD]:
            met = joint(needs, {**stock, k: level})
            if met < chance - 1e-9:
                break
            # A level that loses no draw is always worth it.
            yield (now - level) / (needs.draws * (before - met) + 1e-6), k, level


def _curve(needs: Needs, bundles: Mapping[int, float]) -> Iterator[tuple[float, float]]:
    """Board feet and chance, every line at the same quantile of its own need."""
    found = {sum(stock.values()): joint(needs, stock) for stock in _quantiles(needs, bundles)}
    yield from found.items()


def _quantiles(needs: Needs, bundles: Mapping[int, float]) -> Iterator[dict[int, float]]:
    for n in range(1, needs.draws + 1):
        stock = {k: _bundled(enough(some, n / needs.draws), k, bundles) for k, some in needs.feet.items()}
        if math.inf in stock.values():
            return
        yield stock


def _bundled(feet: float, line: int, bundles: Mapping[int, float]) -> float:
    return max(feet, bundles.get(line, 0.0)) if feet > 0 else 0.0


def joint(needs: Needs, stock: Mapping[int, float]) -> float:
    """Share of draws in which every line's stock suffices."""
    lines = list(needs.feet)
    if not lines or not needs.draws:
        return 1.0
    return float((needs.table <= np.array([stock[k] for k in lines])[:, None] + HAIR).all(axis=0).mean())


def by_thumb(basis: Basis, line_of: Mapping[str, int], market: Market) -> dict[int, float]:
    """Board feet by rule of thumb: finished face area at the line's nominal thickness, over its layers, and the share more."""
    stock = dict.fromkeys(set(line_of.values()), 0.0)
    layers: dict[str, int] = {}
    for w in wants_of(basis.missing, basis.job.shop):
        if w.part in line_of:
            layers[w.part] = max(1, line_makes(w, market.lines[line_of[w.part]], basis.job.shop, market.stress))
    for p in basis.missing:
        if p.name in line_of:
            line = market.lines[line_of[p.name]]
            best = (wood_of(line.grade)[0].published or 1.0) >= 0.65
            net = float(p.length * p.width * p.qty * line.nominal) / CUBIC_INCHES_PER_BOARD_FOOT / layers.get(p.name, 1)
            stock[line_of[p.name]] += net * (1 + (THUMB_BEST if best else THUMB_COMMON))
    return stock
