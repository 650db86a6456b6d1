"""Figures of the search that were found by trial: frozen, checked, and handed in, so that a bench can vary them.

Each says which bench it was found with, as far as one is kept. None of them decides what a plan may be, only how soon the
search comes to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field


def _hold(kind: object, shares: tuple[str, ...], counts: tuple[str, ...]) -> None:
    """Raises `ValueError` where a share is not from 0 to 1, or a count not 1 at least."""
    for name in shares:
        if not 0 <= getattr(kind, name) <= 1:
            raise ValueError(f"{type(kind).__name__}.{name} is a share from 0 to 1, not {getattr(kind, name)}")
    for name in counts:
        if getattr(kind, name) < 1:
            raise ValueError(f"{type(kind).__name__}.{name} is 1 at least, not {getattr(kind, name)}")


@dataclass(frozen=True)
class Effort:
    """How hard a neighbourhood is worked: most boards freed at once, rounds of quick and of full pricing, effort of choosing in
    the solver's units of deterministic time."""

    most: int
    rounds: int
    full_rounds: int
    choosing: float

    def __post_init__(self) -> None:
        _hold(self, (), ("most", "rounds"))
        if self.full_rounds < 0 or self.choosing <= 0:
            raise ValueError(f"rounds of full pricing are 0 at least, and choosing takes some effort: {self}")


@dataclass(frozen=True)
class Freeing:
    """How neighbourhoods are drawn and worked; `tests/bench/ablation.py` shows what drawing boards by what they add to the gap
    brings, and what neighbourhoods bring at all."""

    # Neighbourhoods worked on beside each other.
    at_once: int = 2
    # Fewest boards freed at once.
    fewest: int = 3
    # Gap between a neighbourhood's relaxation and its bound, as a share of either, at which pricing ends.
    sharp: float = 0.002
    # Share of neighbourhoods whose boards are drawn by what they add to the gap, and the part of their mean that each board
    # has as a chance besides.
    guided: float = 0.7
    even: float = 0.2
    # Share of neighbourhoods that free a board or two not cut, where no part is missing.
    uncut: float = 0.6
    # Most combinations of counted copies in a neighbourhood's pricing; more where there are few stocks to choose from.
    most_budgets: int = 4
    most_budgets_few: int = 24
    # Where stocks are few: contents drawn for each freed stock, and how many combinations counting them may take.
    allotments: int = 3
    most_for_allotment: int = 48
    # Sections handed to the whole choice, of the columns cheapest in reduced cost; columns of before to begin with.
    most_sections: int = 800
    most_begun: int = 200
    # Seconds that a whole choice takes at most.
    choosing_seconds: float = 2.0
    # Where stocks are few; where they are many (smaller neighbourhoods, and more of them); where any plan of all parts will do.
    few: Effort = Effort(7, 10, 4, 0.2)
    many: Effort = Effort(5, 6, 2, 0.2)
    soon: Effort = Effort(7, 5, 0, 0.04)

    def __post_init__(self) -> None:
        counts = ("at_once", "fewest", "most_budgets", "most_budgets_few", "most_for_allotment", "most_sections", "most_begun")
        _hold(self, ("sharp", "guided", "even", "uncut"), counts)
        if not all(self.fewest <= e.most for e in (self.few, self.many, self.soon)):
            raise ValueError(f"the fewest boards freed are no more than the most, {self.fewest}")
        if self.choosing_seconds <= 0 or self.allotments < 0:
            raise ValueError("a whole choice takes some time, and allotments are 0 at least")


@dataclass(frozen=True)
class Branching:
    """How nodes are worked; what branching brings is shown by `tests/bench/ablation.py`."""

    # Nodes worked on beside each other.
    at_once: int = 2
    # Rounds of pricing at a node; its bound is valid however many there were.
    rounds: int = 15
    # Gap between a node's relaxation and its bound, as a share of the first, that is small enough to branch.
    sharp: float = 0.003
    # Effort of the solver in whole numbers on the layouts that a node's relaxation uses, and most sections of them.
    rounding: float = 0.02
    most_sections: int = 200

    def __post_init__(self) -> None:
        _hold(self, ("sharp",), ("at_once", "rounds", "most_sections"))
        if self.rounding <= 0:
            raise ValueError(f"rounding takes some effort, not {self.rounding}")


@dataclass(frozen=True)
class Diving:
    """How a dive goes down; what dives bring is shown by `tests/bench/ablation.py`."""

    # Share of the boards still open that one turn fixes, at least one; shares from `sure` up are fixed in any case.
    portion: float = 0.15
    sure: float = 0.98
    # Rounds of pricing a turn, and columns of each board that a turn starts from.
    rounds: int = 3
    columns: int = 40

    def __post_init__(self) -> None:
        _hold(self, ("portion", "sure"), ("rounds", "columns"))


@dataclass(frozen=True)
class Completing:
    """How boards are added to a choice that misses parts; no bench of its own."""

    # Boards added at most to one choice; a search that misses more than these can hold is better begun anew.
    most_boards: int = 12
    # Most combinations of counted copies, and so many times as many where one board must give the whole of a group; each costs
    # as much again as plain pricing, so that they are fewer where that takes long: cells in all (see `SectionPricer.work`).
    most_counted: int = 12
    of_group: int = 4
    work: float = 1.0e10
    # Share of its gain that a layout must still bring after others were added; else boards are laid out anew.
    still: float = 0.6

    def __post_init__(self) -> None:
        _hold(self, ("still",), ("most_boards", "most_counted", "of_group", "work"))


@dataclass(frozen=True)
class Tuning:
    """All of them; a room takes its own."""

    freeing: Freeing = field(default_factory=Freeing)
    branching: Branching = field(default_factory=Branching)
    diving: Diving = field(default_factory=Diving)
    completing: Completing = field(default_factory=Completing)
