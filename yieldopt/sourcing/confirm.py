"""How much to buy, by the real planner: purchases of several sizes tried on the draws of the quick layouts.

The quick layouts have been made on many draws, plans take seconds each. So the quick layouts sort the draws, for each size
of purchase, into those where they make every part and those where they don't; the planner is tried on some of each, and what
it makes of each sort counts by that sort's share of all draws (post-stratification; `trade.unverified`: double
sampling).
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from yieldopt.deadline import Deadline
from yieldopt.sourcing.chance import share_error
from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.market import Market, by_line
from yieldopt.sourcing.purchase import FRESH, Basis, Needs, Purchase, taken
from yieldopt.sourcing.rest import opened
from yieldopt.sourcing.runner import Runner
from yieldopt.sourcing.trial import Trial, suffices
from yieldopt.sourcing.wants import Want, short_parts, wants_of

# Shares of the quick layouts' purchase that are tried, species by species.
LADDER = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.15, 1.35)
FULL = LADDER.index(1.0)
# Plans of a purchase from which a smaller one is tried, and the answer is told as the planner's.
GOOD = 20


@dataclass(frozen=True)
class Confirmed:
    """What the planner says of purchases."""

    # Draws planned of every species, on the purchase found if there is one, else on the quick layouts' one.
    draws: int
    # How often the quick layouts' purchase suffices by the planner, and the error of that.
    chance: float
    error: float
    # The least purchase by the planner: feet by line, its chance and error; None where no tried one suffices often enough.
    feet: Mapping[int, float] | None
    least_chance: float = 0.0
    least_error: float = 0.0
    # (board feet, chance) of the purchases tried, every species moved alike.
    curve: tuple[tuple[float, float], ...] = ()

    @property
    def enough_draws(self) -> bool:
        return self.draws >= GOOD


@dataclass
class Record:
    """What is known of one species: the least rung on which quick layouts make every part in each draw, and what the
    planner did on rung and draw."""

    quick: Sequence[int]
    planned: dict[tuple[int, int], bool] = field(default_factory=dict)

    def known(self, rung: int) -> dict[int, bool]:
        """By draw, whether the planner makes every part on a rung: what suffices on a lower rung does on a higher one."""
        found: dict[int, bool] = {}
        for (k, d), made in self.planned.items():
            if k == rung or (made and k < rung) or (not made and k > rung):
                found[d] = found.get(d, False) or made
        return found

    def chance(self, rung: int) -> tuple[float, float] | None:
        """How often a rung suffices and the error of that; None where no draw tells."""
        known, n = self.known(rung), len(self.quick)
        easy = [q <= rung for q in self.quick]
        weight = sum(easy) / n
        if not known or (weight > 0 and not any(easy[d] for d in known)):
            return None
        total, var, shares = 0.0, 0.0, []
        for sort, part in ((True, weight), (False, 1 - weight)):
            some = [made for d, made in known.items() if easy[d] == sort]
            # Draws too hard for quick layouts and not tried count as failed.
            share = sum(some) / len(some) if some else 0.0
            shares.append(share)
            total += part * share
            var += (part * share_error(share, len(some))) ** 2 if some else 0.0
        return total, math.sqrt(var + weight * (1 - weight) * (shares[0] - shares[1]) ** 2 / n)


def confirm(
    basis: Basis,
    purchase: Purchase,
    needs: Needs,
    line_of: Mapping[str, int],
    market: Market,
    chance: float,
    runner: Runner,
    deadline: Deadline,
    each: float,
    say: Callable[[str], None],
) -> Confirmed | None:
    """Try purchases draw after draw until the deadline; None where not one draw was planned for every species."""
    feet: dict[str, dict[int, float]] = {}
    for k, f in purchase.feet.items():
        if f > 0:
            feet.setdefault(market.lines[k].species, {})[k] = f
    if not feet or {p.species for p in basis.missing} - set(feet):
        return None
    records = {s: Record(_quick_rungs(needs, some)) for s, some in feet.items()}
    trials = _Trials(basis, line_of, market, feet, each, needs.numbers)
    told = 0
    for (s, rung, d), made in runner.run(suffices, _choose(records, trials, chance), deadline, each):
        records[s].planned[rung, d] = made
        if (n := min(len(r.known(FULL)) for r in records.values())) > told:
            told = n
            say(f"purchase planned on {n} trials; {deadline.left:.0f} s of it left")
    return weigh(records, feet, chance)


def _quick_rungs(needs: Needs, feet: Mapping[int, float]) -> list[int]:
    def enough(d: int, share: float) -> bool:
        return all(needs.feet[k][d] <= share * f + 1e-9 for k, f in feet.items())

    return [next((r for r, share in enumerate(LADDER) if enough(d, share)), len(LADDER)) for d in range(needs.draws)]


@dataclass
class _Trials:
    """Makes the trials of a species and draw, once each."""

    basis: Basis
    line_of: Mapping[str, int]
    market: Market
    feet: Mapping[str, Mapping[int, float]]
    each: float
    numbers: Sequence[int]
    made: dict[tuple[str, int], Trial] = field(default_factory=dict)

    def of(self, species: str, draw: int, rung: int) -> Trial:
        if (species, draw) not in self.made:
            self.made[species, draw] = self._make(species, self.numbers[draw])
        return replace(self.made[species, draw], share=LADDER[rung])

    def _make(self, species: str, number: int) -> Trial:
        basis, market, feet = self.basis, self.market, self.feet[species]
        wants = wants_of(short_parts(basis.job, {p.name: p.qty for p in basis.job.parts}), basis.job.shop)
        mine = by_line(wants, self.line_of)
        first = taken(basis, self.line_of, market, number)
        spare = opened(basis.spare, market.hidden, random.Random(f"spare/{market.seed}/{number}"))
        return Trial(
            replace(basis.job, boards=(), prices=(), parts=()),
            tuple(p for p in basis.parts(number, market.seed, market.hidden) if p.species == species),
            tuple(x for x in spare if x[0].species == species),
            tuple(_upto(market, k, number, mine[k], LADDER[-1] * f, first.get(k, ())) for k, f in feet.items()),
            tuple(feet.values()),
            tuple(frozenset(w.part for w in mine[k]) for k in feet),
            self.each,
        )


def _upto(market: Market, line: int, draw: int, wants: Sequence[Want], feet: float, first: Sequence[Drawn]) -> tuple[Drawn, ...]:
    """Boards of a line that come to some `feet`: those `first` that quick layouts take, then others that fit some want."""
    found: list[Drawn] = []
    total = 0.0
    names = {d.board.name for d in first}
    others = (d for d in market.fitting(line, FRESH + draw, wants) if d.board.name not in names)
    for drawn in itertools.chain(first, others):
        found.append(drawn)
        total += float(drawn.bill.board_feet)
        if total > feet:
            break
    return tuple(found)


def _choose(records: Mapping[str, Record], trials: _Trials, chance: float) -> Iterator[tuple[tuple[str, int, int], Trial]]:
    """What to try next: the species of which least is known, on the lowest rung that may suffice often enough."""
    asked = chance ** (1 / len(records))
    begun: set[tuple[str, int, int]] = set()
    at = dict.fromkeys(records, FULL)
    lowest = dict.fromkeys(records, 0)
    while True:
        open_draws: dict[str, int] = {}
        for s, r in records.items():
            at[s], lowest[s] = _next_rung(r, at[s], lowest[s], asked)
            known = r.known(at[s])
            draw = next((d for d in range(len(r.quick)) if d not in known and (s, at[s], d) not in begun), None)
            if draw is not None:
                open_draws[s] = draw
        if not open_draws:
            return
        s = min(open_draws, key=lambda s: (sum(k == at[s] for n, k, _ in begun if n == s) + len(records[s].known(at[s])), s))
        key = (s, at[s], open_draws[s])
        begun.add(key)
        yield key, trials.of(s, open_draws[s], at[s])


def _next_rung(r: Record, rung: int, lowest: int, asked: float) -> tuple[int, int]:
    """The rung to try and the lowest that has not been ruled out, after what is known by now."""
    known = r.known(rung)
    found = r.chance(rung)
    if found is None or len(known) < GOOD:
        # Three failures among so few say enough.
        fails = sum(not made for made in known.values())
        if fails >= 3 and rung + 1 < len(LADDER) and fails > (1 - asked) * 2 * GOOD:
            return rung + 1, rung + 1
        return rung, lowest
    if found[0] >= asked:
        return (rung - 1, lowest) if rung > lowest else (rung, lowest)
    return (rung + 1, rung + 1) if rung + 1 < len(LADDER) else (rung, lowest)


def weigh(records: Mapping[str, Record], feet: Mapping[str, Mapping[int, float]], chance: float) -> Confirmed | None:
    """The chance of each rung, and the least feet with the chance asked for.

    Species are drawn independently, so that chances multiply; `feet` is the whole purchase by species and line.
    """
    names = sorted(records)
    by_rung = {s: {k: c for k in range(len(LADDER)) if (c := records[s].chance(k)) is not None} for s in names}
    if not names or not all(by_rung.values()):
        return None

    def together(at: Sequence[int]) -> tuple[float, float]:
        some = [by_rung[s][k] for s, k in zip(names, at, strict=True)]
        met = math.prod(c for c, _ in some)
        # The relative errors of a product's factors add up in squares.
        return met, max(met, 0.05) * math.sqrt(sum((e / max(c, 0.05)) ** 2 for c, e in some))

    def amount(at: Sequence[int]) -> float:
        return sum(LADDER[k] * sum(feet[s].values()) for s, k in zip(names, at, strict=True))

    def draws(at: Sequence[int]) -> int:
        return min(len(records[s].known(k)) for s, k in zip(names, at, strict=True))

    # Rungs of which enough is known; of few draws, whatever there is.
    sure = {s: [k for k, (c, _) in by_rung[s].items() if c >= chance and len(records[s].known(k)) >= GOOD] for s in names}
    rungs_of = [sure[s] or [k for k, (c, _) in by_rung[s].items() if c >= chance] for s in names]
    # Beyond the few lowest rungs nothing is to be found.
    options = itertools.product(*(sorted(r)[:4] for r in rungs_of)) if len(names) <= 5 else zip(*rungs_of, strict=False)
    good = [at for at in options if together(at)[0] >= chance - 1e-9]
    least = min(good, key=lambda at: (amount(at), at), default=None)
    alike = [(k,) * len(names) for k in range(len(LADDER)) if all(k in by_rung[s] for s in names)]
    curve = tuple((amount(at), together(at)[0]) for at in alike)
    full = together((FULL,) * len(names)) if (FULL,) * len(names) in alike else (0.0, 0.0)
    if least is None:
        return Confirmed(draws((FULL,) * len(names)), *full, None, curve=curve)
    found = {line: LADDER[k] * f for s, k in zip(names, least, strict=True) for line, f in feet[s].items()}
    return Confirmed(draws(least), *full, found, *together(least), curve)
