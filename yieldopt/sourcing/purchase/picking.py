"""The least width and length worth picking at the dealer's, line by line: wide long boards leave less that is too small to use.

A buyer who may pick over the stack leaves the narrow and the short boards. That costs nothing while enough boards are left to
choose from, so no pick may pass over more than two boards for each one taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.lengths import MM_PER_INCH, Units
from yieldopt.luck.drawing_boards import LENGTHS, WIDTHS
from yieldopt.sizes.sizing import end_trim
from yieldopt.sourcing.lay.wants import Want, wants_of
from yieldopt.sourcing.market.lines import PICKED, Market
from yieldopt.sourcing.purchase.needs import Basis
from yieldopt.sourcing.purchase.outlay import Try, outlay
from yieldopt.wood.lumber import PriceLine, Shop
from yieldopt.workers.runner import Runner

# Shares of a line's range of widths and of lengths that may be passed over.
SHARES = (0.0, 0.2, 0.4, 0.6)
# A pick has to save so much of the outlay to be worth the looking.
WORTH = 0.04
# Sizes that hold so many of each of the largest wants of a line are tried as well.
LARGEST, SEVERAL = 2, 3
# Sizes are picked by the half inch and the half foot, or by the centimetre and the tenth of a metre.
INCH_STEPS = (Fraction(1, 2), Fraction(6))
METRIC_STEPS = (10 / MM_PER_INCH, 100 / MM_PER_INCH)


@dataclass(frozen=True)
class Pick:
    """No narrower and no shorter boards of a line are taken, inches; and the share of its boards that are neither."""

    width: Fraction
    length: Fraction
    share: float = 1.0


def plain(line: PriceLine) -> Pick:
    """All boards of a line as they come."""
    return Pick(line.min_width or WIDTHS[0], line.min_length or LENGTHS[0])


def picked(market: Market, picks: Mapping[int, Pick]) -> Market:
    """The market of boards that pass the picks."""
    lines = [
        replace(x, min_width=picks[k].width, min_length=picks[k].length) if k in picks and picks[k].share < 1 else x
        for k, x in enumerate(market.lines)
    ]
    return replace(market, lines=tuple(lines))


def picks_for(
    basis: Basis, line_of: Mapping[str, int], market: Market, chance: float, units: Units, runner: Runner, deadline: Deadline
) -> dict[int, Pick]:
    """For each line in use the pick with which a purchase that suffices with `chance` costs least, one line after another."""
    wants = [w for w in wants_of(basis.missing, market.shop) if w.part in line_of]
    lines = sorted({line_of[w.part] for w in wants}, key=lambda k: -sum(float(w.area) for w in wants if line_of[w.part] == k))
    picks = {k: plain(market.lines[k]) for k in lines}
    cost: dict[str, float] = {}
    for k in lines:
        species = market.lines[k].species
        mine = {w.part: line_of[w.part] for w in wants if w.species == species}
        alone = replace(basis, plan=None, spare=(), missing=tuple(p for p in basis.missing if p.species == species))
        own = [w for w in wants if line_of[w.part] == k]
        options = [picks[k], *pick_options(market.lines[k], units, own, market.shop)]
        tries = [{**picks, k: pick} for pick in options]
        tasks = (
            (n, Try(alone, mine, picked(market, some), chance, {j: p.share for j, p in some.items()}))
            for n, some in enumerate(tries)
            if n or species not in cost
        )
        found = dict(runner.run(outlay, tasks, deadline, 0.0))
        cost[species] = found.pop(0, cost.get(species, float("inf")))
        best = min(found, key=lambda n: (found[n], n), default=0)
        if best and found[best] < (1 - WORTH) * cost[species]:
            picks[k], cost[species] = options[best], found[best]
        if deadline.over:
            break
    return picks


def pick_options(line: PriceLine, units: Units, wants: Sequence[Want], shop: Shop) -> Iterator[Pick]:
    """Picks that leave a third of the boards or more: some shares of the range, and sizes that hold a few large wants."""
    steps = METRIC_STEPS if units == "mm" else INCH_STEPS
    low = plain(line)
    high = (max(line.max_width or WIDTHS[1], low.width), max(line.max_length or LENGTHS[1], low.length))
    widths, lengths = ([_passing(a, b, share, step) for share in SHARES]
                       for a, b, step in ((low.width, high[0], steps[0]), (low.length, high[1], steps[1])))  # fmt: skip
    sizes = [(w, n) for w in widths for n in lengths]
    for want in wants[:LARGEST]:
        for k in range(1, SEVERAL + 1):
            sizes.append((low.width, k * (want.length + shop.kerf.crosscut) + 2 * end_trim(line.nominal, shop)))
            sizes.append((k * (want.width + shop.kerf.rip), low.length))
    seen: set[tuple[Fraction, Fraction]] = {(low.width, low.length)}
    for w, n in sizes:
        width, length = (_whole(max(a, x), a, step) for x, a, step in ((w, low.width, steps[0]), (n, low.length, steps[1])))
        share = _left(low.width, high[0], width) * _left(low.length, high[1], length)
        if (width, length) not in seen and share >= PICKED - 0.01:
            seen.add((width, length))
            yield Pick(width, length, share)


def _passing(low: Fraction, high: Fraction, share: float, step: Fraction) -> Fraction:
    """A least size, on a whole step, that passes over about such a share of an even range."""
    return low if high <= low or not share else round((low + Fraction(share).limit_denominator(100) * (high - low)) / step) * step


def _whole(size: Fraction, low: Fraction, step: Fraction) -> Fraction:
    """A size on the next whole step, the low end of the range as it is."""
    return size if size == low else ceil(size / step) * step


def _left(low: Fraction, high: Fraction, least: Fraction) -> float:
    """The share of an even range that is not below `least`."""
    if least <= low:
        return 1.0
    return float(max(Fraction(0), high - least) / (high - low)) if high > low else 0.0
