"""What a purchase that must suffice comes to at the dealers', from a few quick draws."""

from __future__ import annotations

import statistics
from collections.abc import Mapping
from dataclasses import dataclass, field

from yieldopt.sourcing.market.lines import Market, rarity
from yieldopt.sourcing.purchase.needs import Basis, Drawing, needs_of

# Draws behind each comparison, of their own numbers; only the choice rests on them.
DRAWS = range(5000, 5008)


@dataclass(frozen=True)
class Try:
    """Parts and the lines that they are bought from. `shares` are the boards of a line that a picking buyer takes at all."""

    basis: Basis
    line_of: Mapping[str, int]
    market: Market
    chance: float
    shares: Mapping[int, float] = field(default_factory=dict)


def outlay(t: Try) -> float:
    """Money for a purchase that suffices with the chance asked, from each line's mean and spread as if they were normal; boards
    of which many are passed over count as much dearer (see `rarity`); infinite where some draw can't be met."""
    needs = needs_of(Drawing(t.basis, t.line_of, t.market, DRAWS))
    lines = sorted({k for need in needs for k in need})
    sure = statistics.NormalDist().inv_cdf(t.chance ** (1 / max(1, len(lines))))
    total = 0.0
    for k in lines:
        if any(need[k].feet == float("inf") for need in needs):
            return float("inf")
        feet = [need[k].sums[-1] if need[k].sums else 0.0 for need in needs]
        bought, line = sum(feet), t.market.lines[k]
        by_foot = sum(need[k].money for need in needs) / bought if bought else float(line.price_bf + line.surfacing_bf)
        upto = max(0.0, statistics.fmean(feet) + sure * statistics.stdev(feet))
        looked = sum(need[k].looked for need in needs) / t.shares.get(k, 1.0)
        rare = rarity(looked, sum(len(need[k].sums) for need in needs))
        total += rare * max(upto, float(line.bundle_bf) if upto > 0 else 0.0) * by_foot
    return total
