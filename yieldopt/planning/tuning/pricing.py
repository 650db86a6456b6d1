"""Figures of pricing, and of how its work is shared out."""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.planning.tuning.held import hold


@dataclass(frozen=True)
class Scale:
    """What counts as a large job, and as few and many stocks; `tests/bench/growth.py` shows what larger jobs take."""

    # Work of one round of full pricing (see `SectionPricer.work`) above which a job counts as large.
    large: float = 2.0e10
    # The same from which quick pricing works on a coarser grid.
    coarse: float = 1.0e9
    # A component with more stocks has many: whole choices then take longer than dives, and find nothing.
    many_stocks: int = 40
    few_stocks: int = 6

    def __post_init__(self) -> None:
        hold(self, (), ("few_stocks",), ("large", "coarse"))
        if self.few_stocks > self.many_stocks:
            raise ValueError(f"few_stocks, {self.few_stocks}, are no more than many_stocks, {self.many_stocks}")


@dataclass(frozen=True)
class Pricing:
    """How one stock is priced; `tests/bench/ablation.py` shows what pricing only the items wanted brings, and
    `tests/bench/yardsticks.py` how near the layouts looked at come to free ones."""

    # These two say which layouts are looked at. Two items lie end to end in one strip only if the narrower has at least this
    # share of the wider's width; in a strip of a board ripped first, an item only if it has at least this share of the strip's.
    pair_width: float = 0.6
    strip_share: float = 0.6
    # Most pairs looked at on one stock, the most alike in width first; boards with few kinds of item have fewer.
    most_pairs: int = 240
    # Worths above this many times the stock's cost are too coarse in 16 bits: the search then uses the bound's.
    most_in_search: float = 6.0
    # Share of a stock's items up to which those wanted are priced by themselves (below 0: never), and sets of them kept ready.
    narrow: float = 0.8
    most_narrowed: int = 12
    # Most layouts with fewer copies that one pricing brings beside the best.
    most_fewer: int = 5

    def __post_init__(self) -> None:
        hold(self, ("pair_width", "strip_share"), ("most_pairs", "most_narrowed"), ("most_in_search",))
        if self.narrow > 1 or self.most_fewer < 0:
            raise ValueError(f"narrow is a share, and most_fewer 0 at least: {self}")


@dataclass(frozen=True)
class Spreading:
    """How a round of pricing is shared among workers; `tests/bench/workers.py` shows what they bring."""

    # Parts that a round of questions to other processes is split into for each of them: many, so that none waits long at the
    # end.
    parts_a_worker: int = 12
    # Parts asked of a process of this machine ahead of the one it is at.
    ahead: int = 2
    # Jobs that a worker keeps ready.
    kept_ready: int = 3

    def __post_init__(self) -> None:
        hold(self, (), ("parts_a_worker", "ahead", "kept_ready"))
