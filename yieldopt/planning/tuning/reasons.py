"""Figures of the reasons: how far it is looked why a part has no place, a board is not cut, one more board would do."""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.planning.tuning.held import hold


@dataclass(frozen=True)
class Conflicts:
    """How long a smaller set that conflicts is looked for, and how many boards at all; no bench of its own."""

    # Tests spent on looking for a set of defects smaller than the irreducible one.
    most_tests: int = 60
    # Boards looked at closely where many could give a part but none does.
    most_looked_at: int = 12

    def __post_init__(self) -> None:
        hold(self, (), ("most_looked_at",))
        if self.most_tests < 0:
            raise ValueError(f"Conflicts.most_tests is 0 at least, not {self.most_tests}")


@dataclass(frozen=True)
class Crowding:
    """How it is proven that parts can't all come from the boards; no bench of its own."""

    # A missing part costs so many times all stocks together; a bound of a thousandth of a part is then a proof.
    dear: float = 1000.0
    # Rounds of pricing, and turns of as many before it is given up.
    rounds: int = 6
    turns: int = 8
    # Most combinations of counted copies in a stock's pricing.
    most_budgets: int = 24
    # Tests spent on the parts; each prices all stocks some dozen times.
    most_tests: int = 25

    def __post_init__(self) -> None:
        hold(self, (), ("rounds", "turns", "most_budgets", "most_tests"))
        if self.dear <= 1:
            raise ValueError(f"Crowding.dear is more than once all stocks, not {self.dear}")


@dataclass(frozen=True)
class Unused:
    """How a board that is not cut is priced; no bench of its own."""

    # Parts looked at one by one where a board gives none; named where several are barred for reasons of their own.
    most_parts: int = 8
    # A board that would have to be cheaper by no more than this share of its price is as good as those cut.
    as_good: float = 0.005
    # Share of itself by which each board may be used again where parts are priced.
    hair: float = 1e-3
    # Rounds of pricing for that, and most combinations of counted copies.
    rounds: int = 15
    most_budgets: int = 12

    def __post_init__(self) -> None:
        hold(self, ("as_good", "hair"), ("most_parts", "rounds", "most_budgets"))


@dataclass(frozen=True)
class Trying:
    """How sizes of one more board are tried; no bench of its own."""

    # Widths tried, and sizes told.
    most_widths: int = 5
    most_sizes: int = 3
    # Most combinations of counted copies; with more parts missing than these, one board seldom does.
    most_counted: int = 256
    # Most work of trying one board (see `SectionPricer.work`), about a second: more kinds of small parts than that go
    # unanswered.
    most_work: float = 2.0e9

    def __post_init__(self) -> None:
        hold(self, (), ("most_sizes", "most_counted"), ("most_work",))
        if self.most_widths < 2:
            raise ValueError(f"Trying.most_widths is 2 at least, the narrowest and the widest, not {self.most_widths}")
