"""Every way on many draws by quick layouts, and whether tested stock would change the answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.lay.wants import Want
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.ways.outcome import Outcome
from yieldopt.sourcing.ways.question import THICK_NAME, Question, every_want, lines_for
from yieldopt.sourcing.ways.way import Way, quick_outcome
from yieldopt.workers.runner import Runner

# Quick draws of every way, and those that there must be however short the time.
QUICK_DRAWS, LEAST = 60, 20
# Quick draws that show whether tested stock would change the answer.
TASTE = 8
A_THIRD = 1 / 3


@dataclass(frozen=True)
class Tested:
    """Mean net cost of a way by quick layouts, boards of unknown stress and tested ones."""

    way: str
    unknown: float
    tested: float

    @property
    def matters(self) -> bool:
        """Whether it changes the answer by a third."""
        return self.tested <= (1 - A_THIRD) * self.unknown


def if_all_tested(asked: Question, market: Market) -> Tested | None:
    """The cheapest way by quick layouts as boards are, and were the 8/4 tested and flat: on the same few draws. None where that
    is no question."""
    if market.stress != "unknown" or not asked.thick_on_sale:
        return None
    tested = replace(market, stress="tested")
    (thick,) = lines_for(tested, every_want(asked.job), "thick")
    mine = [w for w in asked.wants if w.part in thick]
    now = _cheapest(asked, market)
    then = mean_cost([quick_outcome(tested, Way(THICK_NAME, thick), mine, d) for d in range(TASTE)])
    return None if now == float("inf") or then == float("inf") else Tested(THICK_NAME, now, then)


def _cheapest(asked: Question, market: Market) -> float:
    single = [way for way in asked.ways if not way.also and way.matched]
    return min(mean_cost([quick_outcome(market, way, asked.wants_for(way), d) for d in range(TASTE)]) for way in single)


def quick_outcomes(task: tuple[Market, Sequence[tuple[int, Way, Sequence[Want]]], int]) -> dict[int, Outcome]:
    """Every way on one draw by quick layouts."""
    market, ways, draw = task
    return {w: quick_outcome(market, way, wants, draw) for w, way, wants in ways}


def quick_ways(asked: Question, market: Market, draws: int, runner: Runner, deadline: Deadline) -> list[list[Outcome]]:
    """Outcomes by way and draw; of the ways with both stocks none."""
    single = [(w, way, asked.wants_for(way)) for w, way in enumerate(asked.ways) if not way.also]
    tasks = ((d, (market, single, d)) for d in range(min(draws, QUICK_DRAWS)))
    done = dict(runner.run(quick_outcomes, tasks, deadline.part(max(3.0, 0.3 * deadline.left)), 0.0))
    # However short the time, a few draws of each way there must be.
    done |= {d: quick_outcomes((market, single, d)) for d in range(LEAST) if d not in done and not deadline.stopped}
    return [[done[d][w] for d in sorted(done) if w in done[d]] for w in range(len(asked.ways))]


def mean_cost(outcomes: Sequence[Outcome]) -> float:
    """Of the draws in which every part was made; infinite where there is none."""
    good = [o.cost.at(1) for o in outcomes if o.complete]
    return sum(good) / len(good) if good else float("inf")
