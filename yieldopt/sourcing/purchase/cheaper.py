"""From which lines to buy ahead: what costs least in a plan need not cost least in a purchase that must suffice.

A plan pays for boards it cuts, less what they leave; a purchase pays for all it takes to be sure. Long parts from common
boards are cheap where they turn up, and ask for many boards to be sure of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.lay.wants import Want, line_makes, wants_of
from yieldopt.sourcing.market.lines import Market, by_line
from yieldopt.sourcing.purchase.needs import Basis
from yieldopt.sourcing.purchase.outlay import Try, outlay
from yieldopt.workers.runner import Runner

# Rounds of changes, and how much a change must save, as a share.
ROUNDS, WORTH = 3, 0.03
# Parts of a line that are tried elsewhere by themselves, the largest.
ALONE = 2
# Lines so many times as dear by the square foot are not tried.
TOO_DEAR = 2.2


def cheaper_lines(
    basis: Basis, line_of: Mapping[str, int], market: Market, chance: float, runner: Runner, deadline: Deadline
) -> dict[str, int]:
    """The same choice with parts moved to other lines where a purchase that suffices with `chance` then costs less."""
    chosen = dict(line_of)
    wants = wants_of(basis.missing, market.shop)
    species = sorted({w.species for w in wants if w.part in chosen})
    alone = {s: replace(basis, plan=None, spare=(), missing=tuple(p for p in basis.missing if p.species == s)) for s in species}
    cost: dict[str, float] = {}
    going = set(species)
    for _ in range(ROUNDS):
        tries: list[tuple[str, dict[str, int]]] = []
        for s in sorted(going):
            mine = [w for w in wants if w.species == s and w.part in chosen]
            tries += [(s, {w.part: chosen[w.part] for w in mine})] if s not in cost else []
            tries += [(s, moved) for moved in _moves(mine, chosen, market)]
        tasks = ((n, Try(alone[s], moved, market, chance)) for n, (s, moved) in enumerate(tries))
        found = dict(runner.run(outlay, tasks, deadline, 0.0))
        for s in sorted(going):
            some = [(found[n], n) for n, (x, _) in enumerate(tries) if x == s and n in found]
            if s not in cost:
                first = next((n for n, (x, _) in enumerate(tries) if x == s), -1)
                if first not in found:
                    going.discard(s)
                    continue
                cost[s] = found[first]
            best, n = min(some, default=(float("inf"), -1))
            if best < (1 - WORTH) * cost[s]:
                chosen.update(tries[n][1])
                cost[s] = best
            else:
                going.discard(s)
        if not going or deadline.over:
            break
    return chosen


def _moves(wants: list[Want], chosen: Mapping[str, int], market: Market) -> Iterator[dict[str, int]]:
    """All parts of one line to another, and its largest parts by themselves."""
    now = {w.part: chosen[w.part] for w in wants}
    for line, some in sorted(by_line(wants, now).items()):
        for k in range(len(market.lines)):
            if k == line or _by_foot(market, k) > TOO_DEAR * _by_foot(market, line):
                continue
            able = [w for w in some if line_makes(w, market.lines[k], market.shop, market.stress)]
            if len(able) == len(some):
                yield now | dict.fromkeys((w.part for w in some), k)
            if len(some) > 1:
                largest = sorted((w for w in able if w.home is None), key=lambda w: (-w.area / w.qty, w.part))[:ALONE]
                for w in largest:
                    yield now | {w.part: k}


def _by_foot(market: Market, line: int) -> float:
    return float(market.lines[line].price_bf * market.lines[line].nominal)
