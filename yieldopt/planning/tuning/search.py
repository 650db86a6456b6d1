"""Figures of the search for a choice of layouts, and of the bound."""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.planning.tuning.held import hold


@dataclass(frozen=True)
class Effort:
    """How hard a neighbourhood is worked: most boards freed at once, rounds of quick and of full pricing, effort of choosing in
    the solver's units of deterministic time."""

    most: int
    rounds: int
    full_rounds: int
    choosing: float

    def __post_init__(self) -> None:
        hold(self, (), ("most", "rounds"))
        if self.full_rounds < 0 or self.choosing <= 0:
            raise ValueError(f"rounds of full pricing are 0 at least, and choosing takes some effort: {self}")


@dataclass(frozen=True)
class Freeing:
    """How neighbourhoods are drawn and worked; `tests/bench/ablation.py` shows what drawing boards by what they add to the gap
    brings, and what neighbourhoods bring at all."""

    # Neighbourhoods worked on beside each other.
    at_once: int = 2
    # Fewest boards freed at once; one more is the most at first, and again one more after so many steps that brought nothing.
    fewest: int = 2
    grow_after: int = 3
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
    # Combinations below which it isn't worth pricing contents drawn by chance: boards that take long allow no more.
    fewest_for_allotment: int = 4
    # Sections handed to the whole choice, of the columns cheapest in reduced cost; columns of before to begin with.
    most_sections: int = 800
    most_begun: int = 200
    # Seconds that a whole choice takes at most.
    choosing_seconds: float = 2.0
    # Where stocks are few; where they are many (smaller neighbourhoods, and more of them); where any plan of all parts will do.
    few: Effort = Effort(7, 6, 2, 0.1)
    many: Effort = Effort(5, 6, 2, 0.2)
    soon: Effort = Effort(7, 5, 0, 0.04)

    def __post_init__(self) -> None:
        counts = ("at_once", "fewest", "grow_after", "most_budgets", "most_budgets_few", "most_for_allotment", "most_sections")
        hold(self, ("sharp", "guided", "even", "uncut"), (*counts, "most_begun", "fewest_for_allotment"))
        if not all(self.fewest <= e.most for e in (self.few, self.many, self.soon)):
            raise ValueError(f"the fewest boards freed are no more than the most, {self.fewest}")
        if self.choosing_seconds <= 0 or self.allotments < 0:
            raise ValueError("a whole choice takes some time, and allotments are 0 at least")


@dataclass(frozen=True)
class Nodes:
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
        hold(self, ("sharp",), ("at_once", "rounds", "most_sections"))
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
        hold(self, ("portion", "sure"), ("rounds", "columns"))


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
        hold(self, ("still",), ("most_boards", "most_counted", "of_group", "work"))


@dataclass(frozen=True)
class Generating:
    """How columns are added to a relaxation; `tests/bench/ablation.py` shows what counting copies brings."""

    # Times as dear that going short becomes while the relaxation still does.
    dearer: float = 2.0
    # Most combinations of counted copies where a stock must give the whole of a group, and where branches cap what a stock
    # supplies.
    most_for_group: int = 128
    most_for_branch: int = 96
    # Cells gone through at most in pricing one stock with counted copies otherwise (see `SectionPricer.work`): counting more
    # costs more rounds of pricing than it is worth.
    counted_work: float = 3.0e8

    def __post_init__(self) -> None:
        hold(self, (), ("most_for_group", "most_for_branch"), ("counted_work",))
        if self.dearer <= 1:
            raise ValueError(f"Generating.dearer is more than 1, else parts stay missing, not {self.dearer}")


@dataclass(frozen=True)
class Steering:
    """What is done when in the search for a component; `tests/bench/gaps.py` shows cost, bound and gap of a family of jobs."""

    # Rounds of pricing before the first choice of layouts, effort of making it whole (see `whole_effort`), and cells priced
    # in neighbourhoods while it misses a part.
    soon_rounds: int = 4
    soon_effort: float = 0.02
    soon_work: float = 8.0e9
    # Times what the relaxation comes to that a first plan may cost before another is looked for.
    rough: float = 1.3
    # Quick pricing first, with a whole choice made after so many rounds, so many times; rounds of full pricing at most.
    quick_turns: int = 6
    quick_rounds: int = 15
    root_rounds: int = 200
    # Shares of the cost to which the relaxation is solved before the search goes on: with quick layouts, then with all.
    quick_sharp: float = 0.01
    root_sharp: float = 0.005
    # Steps without gain that halve what a component promises: some of each way to close its gap.
    patience: float = 4
    # Neighbourhoods that bring nothing before branching has a turn, so that a good choice comes before a better bound.
    nodes_after: int = 2
    # Times what it costs to go short in the relaxation as a whole that it costs at first in a neighbourhood.
    ample: float = 4.0
    # What solving takes in a step beside pricing, in cells of pricing (see `SectionPricer.work`), roughly.
    solving: float = 2.0e9
    # Units of the solver's deterministic time for a whole choice: while pricing is quick, once the bound is known, and again
    # after so many steps; seconds that it takes at most.
    quick_effort: float = 0.15
    whole_effort: float = 0.15
    again_effort: float = 0.6
    whole_every: int = 20
    whole_seconds: float = 5.0
    # Where boards are few, most combinations of counted copies in a board's pricing; each costs as much again as plain pricing.
    most_budgets: int = 12
    # Sections handed to a whole choice.
    most_sections: int = 6000

    def __post_init__(self) -> None:
        rounds = ("soon_rounds", "quick_turns", "quick_rounds", "root_rounds", "whole_every", "nodes_after")
        counts = (*rounds, "most_budgets", "most_sections")
        efforts = ("soon_effort", "quick_effort", "whole_effort", "again_effort", "whole_seconds", "patience", "solving")
        hold(self, ("quick_sharp", "root_sharp"), counts, efforts)
        if min(self.rough, self.ample) < 1 or self.soon_work < 0:
            raise ValueError(f"rough and ample are once at least, and soon_work 0 at least: {self}")


@dataclass(frozen=True)
class Turns:
    """How ways to close the gap take turns; `tests/bench/ablation.py` shows what each of them brings."""

    # How much the last step of a way counts beside those before, and the least share of the work that a way gets: what a step
    # brings is a matter of chance, so that one which brought nothing says little.
    fresh: float = 0.2
    least: float = 0.3

    def __post_init__(self) -> None:
        hold(self, ("fresh",))
        if not 0 < self.least <= 0.5:
            raise ValueError(f"Turns.least is a share above 0, twice at most all, not {self.least}")
