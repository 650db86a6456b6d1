"""Figures of what follows the search: which of two plans of one cost is taken, and how long is spent on that."""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.planning.tuning.held import hold


@dataclass(frozen=True)
class Cared:
    """What counts after cost, as shares of the board's price. Set by judgement, small enough that a few cents outweigh them;
    no bench, `tests/planning/test_tidy.py` holds what each is to bring about."""

    # A saw cut, a new setting of fence or stop, all kept offcuts in one piece as large as the board.
    cut: float = 1 / 4000
    set_up: float = 1 / 4000
    one_piece: float = 1 / 50
    # All wood that shows as far from any defect as counts, inches: beyond that distance the grain runs straight (common
    # practice, no source).
    show: float = 1 / 200
    far_enough: float = 3.0
    # What stands for the price of a board that has none.
    no_price: float = 1.0

    def __post_init__(self) -> None:
        hold(self, ("cut", "set_up", "one_piece", "show"), (), ("far_enough", "no_price"))


@dataclass(frozen=True)
class Tidying:
    """How far the last pass over the layouts looks; no bench of its own."""

    # Most combinations of counted copies for laying a board out anew, and of all boards of a component together.
    most_counted: int = 24
    most_counted_in_all: int = 80
    # How much more an offcut as long as the board is liked than a short one of the same area, as a share of its worth.
    long: float = 0.03
    # Sections with more strips than this are left in their order.
    most_strips: int = 7

    def __post_init__(self) -> None:
        hold(self, ("long",), ("most_counted", "most_counted_in_all", "most_strips"))


@dataclass(frozen=True)
class StripRoom:
    """How room for stress-test strips is looked for; no bench of its own."""

    # Places for which a board is laid out anew, and most combinations of counted copies for that.
    most_bands: int = 4
    most_counted: int = 24
    # Layouts chosen from, a board; of those, the ones that are opened for a strip.
    most_each: int = 300
    most_opened: int = 60
    # Units of the solver's deterministic time, and seconds at the latest.
    effort: float = 1.0
    seconds: float = 5.0
    # What going without is worth where a board has no price.
    least_worth: float = 1.0

    def __post_init__(self) -> None:
        counts = ("most_bands", "most_counted", "most_each", "most_opened")
        hold(self, (), counts, ("effort", "seconds", "least_worth"))


@dataclass(frozen=True)
class Ending:
    """How the time is shared out; no bench, `tests/planning/test_promise.py` holds that a run ends when it was to."""

    # Share of the time at most that goes into what follows the search, and of that into tidying.
    after: float = 0.12
    tidying: float = 0.4
    # Of what is left for reasons: share for parts that conflict (the rest goes into the size of one more board), and where
    # reasons are asked for later, for the layouts by which boards and parts are priced.
    conflicts: float = 0.6
    layouts: float = 0.4

    def __post_init__(self) -> None:
        hold(self, ("after", "tidying", "conflicts", "layouts"))
