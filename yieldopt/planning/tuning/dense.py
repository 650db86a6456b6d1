"""Figures of the search for a place for every part where nearly all wood is needed."""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.planning.tuning.held import hold


@dataclass(frozen=True)
class Dense:
    """How dense boxes are listed and chosen; `tests/bench/gaps.py` prints which jobs of a family are left with parts missing."""

    # Share of the wood that the parts must need at least for a job to count as tight.
    least: float = 0.75
    # Share of what is left of the time in which every part is to have a place: some jobs that look so can't be whole.
    share: float = 0.3
    # Waste of a section at most, as a share of it, in one try after another, and units of the solver's deterministic time
    # for each.
    tries: tuple[tuple[float, float], ...] = ((0.004, 0.1), (0.02, 0.1), (0.035, 0.15), (0.05, 0.2), (0.08, 0.3))
    # Then a few rooms at a time are filled anew: how often, how many rooms, with what waste of a section, and effort.
    again: int = 16
    few: tuple[int, int] = (2, 3)
    looser: float = 0.15
    again_effort: float = 0.06
    # Beside a flaw more may be wasted.
    beside: float = 0.1
    # Units of the grid along or across a room at most: sums are kept as a bit each (see `fillings`), and figures that share no
    # coarse unit would need more bits than there is room for.
    most_units: int = 200_000
    # Fillings listed for one box, and of one kind of room those that waste least; steps of the search for those of a room and
    # for those of one box.
    most_of_box: int = 400
    most_of_room: int = 1000
    steps: int = 60_000
    steps_of_box: int = 3_000
    # Seconds that one choice may take at most.
    seconds: float = 2.0

    def __post_init__(self) -> None:
        counts = ("most_units", "most_of_box", "most_of_room", "steps", "steps_of_box")
        hold(self, ("least", "share", "looser", "beside"), counts, ("again_effort", "seconds"))
        if not all(0 <= share <= 1 and effort > 0 for share, effort in self.tries):
            raise ValueError(f"tries are shares from 0 to 1 with some effort each, not {self.tries}")
        if self.again < 0 or not 1 <= self.few[0] <= self.few[1]:
            raise ValueError(f"few rooms are from one up, filled again as often as may be: {self.again} times {self.few}")
