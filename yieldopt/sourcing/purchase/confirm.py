"""How much to buy, by the real planner: the quick layouts' purchase made smaller line by line, then tried on fresh draws."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from yieldopt.ground.deadline import Deadline
from yieldopt.luck.drawing_boards import Drawn
from yieldopt.sourcing.lay.rest import opened
from yieldopt.sourcing.lay.wants import Want, short_parts, wants_of
from yieldopt.sourcing.market.lines import Market, by_line
from yieldopt.sourcing.purchase.needs import FRESH, Basis, Needs, on_sale, taken
from yieldopt.sourcing.purchase.shrinking import Shrinking
from yieldopt.sourcing.purchase.smallest import Purchase
from yieldopt.sourcing.purchase.trial import Answer, Trial, suffices
from yieldopt.sourcing.purchase.tried import Record, Share, Stock, together
from yieldopt.workers.runner import Runner

if TYPE_CHECKING:
    pass

# Draws that choose nothing are numbered from here on.
UNSEEN = 100_000
# Boards are drawn for stocks up to so many times the quick layouts' own.
PLENTY = 1.6
# Of the step's time for the search; the rest tries what it found on draws that did not choose it.
SEARCH = 0.72
# A fresh draw may be planned so many times as long as one of the search.
LONG = 3.0
# Fresh draws that are tried at most.
MOST_FRESH = 200
A_DAY = 86_400.0


@dataclass(frozen=True)
class Fresh:
    """A purchase on draws that had no part in choosing it."""

    made: int = 0
    lacking: int = 0
    not_known: int = 0

    @property
    def draws(self) -> int:
        return self.made + self.lacking + self.not_known


@dataclass(frozen=True)
class Confirmed:
    """What the planner says of purchases: stocks by line, board feet asked for."""

    # The quick layouts' own stock, and how often it suffices; None: not tried enough.
    quick: Share | None
    # The least stock found to suffice often enough, and how often; None: none was found.
    stock: Mapping[int, float] | None = None
    share: Share | None = None
    # The least stock that would do were every trial that was not settled a success; None: no smaller one was tried.
    if_settled: Mapping[int, float] | None = None
    # Whether the search ended by itself.
    whole: bool = False
    # (board feet, chance) of stocks found on the way down, all species together.
    path: tuple[tuple[float, float], ...] = ()
    fresh: Fresh = Fresh()


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
    steps: int | None = None,
) -> Confirmed | None:
    """Make the purchase smaller until the deadline, then try it on fresh draws; None where there is nothing to buy.

    With `steps` each trial takes so many of the planner's, and `deadline` counts trials: see `Runner`.
    """
    lines = _by_species(purchase.stock, market)
    if not lines:
        return None
    asked = chance ** (1 / len(lines))
    trials = _Trials(basis, line_of, market, lines, purchase.stock, each, steps)
    going = {s: _shrinking(s, ks, purchase, needs, market, asked) for s, ks in lines.items()}
    search = deadline.part(SEARCH * deadline.left)
    told = ""
    for (s, stock, d), answer in runner.run(suffices, _choose(going, trials, needs), search, each, SEARCH):
        going[s].record.tried[stock, d] = answer
        going[s].settle()
        feet = sum(sum(g.found or g.start) for g in going.values())
        if (line := f"purchase tried with the planner: {feet:.0f} board feet by now") != told:
            told = line
            say(f"{line}; {deadline.left:.0f} s of it left")
    found = _weighed(going, lines, purchase)
    if found.stock is not None and not deadline.stopped:
        say("trying the purchase on fresh trials ...")
        found = replace(found, fresh=_fresh(found.stock, lines, trials, runner, deadline))
    return found


def tried_afresh(
    basis: Basis,
    line_of: Mapping[str, int],
    market: Market,
    stock: Mapping[int, float],
    draws: int,
    each: float,
    runner: Runner,
) -> Fresh:
    """A stock on so many draws that had no part in choosing it, each species of a draw planned for up to `each` seconds."""
    lines = _by_species(stock, market)
    trials = _Trials(basis, line_of, market, lines, stock, each, None)
    found: dict[int, list[Answer]] = {}
    for (d, _), answer in runner.run(suffices, _afresh(stock, lines, trials, draws, 1.0), Deadline(A_DAY), each):
        found.setdefault(d, []).append(answer)
    return _counted(found, len(lines))


def _by_species(stock: Mapping[int, float], market: Market) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for k, f in sorted(stock.items()):
        if f > 0:
            found.setdefault(market.lines[k].species, []).append(k)
    return dict(sorted(found.items()))


def _shrinking(species: str, lines: Sequence[int], purchase: Purchase, needs: Needs, market: Market, asked: float) -> Shrinking:
    quick = [tuple(needs.feet[k][d] for k in lines) for d in range(needs.draws)]
    listed = {k: float(market.lines[k].price_bf + market.lines[k].surfacing_bf) for k in lines}
    return Shrinking(
        Record(quick),
        tuple(purchase.stock[k] for k in lines),
        tuple(needs.board(k) or purchase.stock[k] for k in lines),
        tuple(needs.by_foot(k) or listed[k] for k in lines),
        tuple(float(market.lines[k].bundle_bf) for k in lines),
        asked,
    )


def _weighed(going: Mapping[str, Shrinking], lines: Mapping[str, Sequence[int]], purchase: Purchase) -> Confirmed:
    at_start = {s: share for s, g in going.items() if (share := g.record.share(g.start)) is not None}
    quick = together(at_start) if len(at_start) == len(going) else None
    if any(g.found is None for g in going.values()):
        return Confirmed(quick)
    shares = {s: share for s, g in going.items() if g.found is not None and (share := g.record.share(g.found)) is not None}
    if len(shares) < len(going):
        return Confirmed(quick)
    stock = dict.fromkeys(purchase.stock, 0.0)
    least = dict(stock)
    for s, g in going.items():
        stock |= dict(zip(lines[s], g.found or (), strict=True))
        least |= dict(zip(lines[s], _if_settled(g), strict=True))
    whole = all(g.done for g in going.values())
    return Confirmed(quick, stock, together(shares), least, whole, tuple(_path(going)))


def _if_settled(g: Shrinking) -> Stock:
    """The least stock tried that would suffice, were each trial that was not settled a success."""
    tried = {stock for stock, _ in g.record.tried}
    good = [s for s in tried if (share := g.record.share(s)) and share.made + share.not_known >= g.asked and share.draws >= 3]
    return min([*good, g.found or g.start], key=sum)


def _path(going: Mapping[str, Shrinking]) -> Iterator[tuple[float, float]]:
    """Stocks of all species together on the way down, rising, the shorter ways waiting at their ends."""
    longest = max(len(g.path) for g in going.values())
    for n in reversed(range(longest)):
        at = {s: g.path[min(n, len(g.path) - 1)] for s, g in going.items()}
        shares = {s: share for s, stock in at.items() if (share := going[s].record.share(stock)) is not None}
        if len(shares) == len(going):
            yield sum(map(sum, at.values())), together(shares).made


@dataclass
class _Trials:
    """Makes the trials of a species and draw, once each."""

    basis: Basis
    line_of: Mapping[str, int]
    market: Market
    lines: Mapping[str, Sequence[int]]
    stock: Mapping[int, float]
    seconds: float
    steps: int | None
    made: dict[tuple[str, int], Trial] = field(default_factory=dict)

    def of(self, species: str, number: int, stock: Stock, longer: float = 1.0) -> Trial:
        if (species, number) not in self.made:
            self.made[species, number] = self._make(species, number)
        steps = None if self.steps is None else round(longer * self.steps)
        return replace(self.made[species, number], stock=stock, seconds=longer * self.seconds, steps=steps)

    def _make(self, species: str, number: int) -> Trial:
        basis, market, lines = self.basis, self.market, self.lines[species]
        wants = wants_of(short_parts(basis.job, {p.name: p.qty for p in basis.job.parts}), basis.job.shop)
        mine = by_line(wants, self.line_of)
        first = taken(basis, self.line_of, market, number)
        spare = opened(basis.spare, market.hidden_rate, random.Random(f"spare/{market.seed}/{number}"))
        return Trial(
            replace(basis.job, boards=(), prices=(), parts=()),
            tuple(p for p in on_sale(basis.parts(number, market), self.line_of) if p.species == species),
            tuple(x for x in spare if x[0].species == species),
            tuple(_upto(market, k, number, mine[k], PLENTY * self.stock[k], first.get(k, ())) for k in lines),
            tuple(self.stock[k] for k in lines),
            tuple(frozenset(w.part for w in mine[k]) for k in lines),
            self.seconds,
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


Key = tuple[str, Stock, int]


def _choose(going: Mapping[str, Shrinking], trials: _Trials, needs: Needs) -> Iterator[tuple[Key, Trial]]:
    """What to try next: the species with most trials to go, on the stock that its search is at."""
    begun: dict[str, list[tuple[Stock, int]]] = {s: [] for s in going}
    while True:
        draws = {s: d for s, g in going.items() if not g.done and (d := g.draw(begun[s])) is not None}
        if not draws:
            return
        s = min(draws, key=lambda s: (len(begun[s]), s))
        stock, d = going[s].now, draws[s]
        begun[s].append((stock, d))
        yield (s, stock, d), trials.of(s, needs.numbers[d], stock)


def _fresh(
    stock: Mapping[int, float], lines: Mapping[str, Sequence[int]], trials: _Trials, runner: Runner, deadline: Deadline
) -> Fresh:
    """The purchase on draws of its own, every species of each; draws of which a species was not reached are left out."""
    found: dict[int, list[Answer]] = {}
    tasks = _afresh(stock, lines, trials, MOST_FRESH, LONG)
    for (d, _), answer in runner.run(suffices, tasks, deadline, LONG * trials.seconds, 1 - SEARCH):
        found.setdefault(d, []).append(answer)
    return _counted(found, len(lines))


def _afresh(
    stock: Mapping[int, float], lines: Mapping[str, Sequence[int]], trials: _Trials, draws: int, longer: float
) -> Iterator[tuple[tuple[int, str], Trial]]:
    for d in range(draws):
        for s, ks in lines.items():
            yield (d, s), trials.of(s, UNSEEN + d, tuple(stock[k] for k in ks), longer)


def _counted(found: Mapping[int, Sequence[Answer]], species: int) -> Fresh:
    # Draws that fail take longest: of those that time cut short, counting whichever is done would flatter.
    whole = []
    for d in itertools.count():
        answers = found.get(d, [])
        if "lacking" not in answers and len(answers) < species:
            break
        whole.append(answers)
    lacking = sum("lacking" in a for a in whole)
    unknown = sum("lacking" not in a and "not known" in a for a in whole)
    return Fresh(len(whole) - lacking - unknown, lacking, unknown)
