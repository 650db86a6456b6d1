"""The plan beside its job, as the rules look at it, and the list the rules are in."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from yieldopt.checking.finding import Finding
from yieldopt.checking.sawing import Sawn, saw
from yieldopt.checking.view import View
from yieldopt.ground.lengths import show
from yieldopt.wood.lumber import Job, Part
from yieldopt.wood.plan import Piece, Plan


@dataclass(frozen=True)
class Context:
    """Job and plan; rules read from it and change nothing."""

    job: Job
    plan: Plan
    # The plan that this one follows, where it is at hand.
    before: Plan | None = None

    @cached_property
    def views(self) -> tuple[View, ...]:
        """Boards of the plan that the job knows."""
        return tuple(View(self.job.board_named[b.board], b) for b in self.plan.boards if b.board in self.job.board_named)

    @cached_property
    def _sawn(self) -> dict[int, Sawn]:
        return {id(view.plan): saw(view) for view in self.views}

    def sawn(self, view: View) -> Sawn:
        """The board after all its cuts; made once, as several rules look at it."""
        return self._sawn[id(view.plan)]

    def pieces(self) -> Iterator[tuple[View, Piece, Part]]:
        """Every piece whose board and part the job knows."""
        for view in self.views:
            for piece in view.plan.pieces:
                part = self.job.part_named.get(piece.part)
                if part is not None:
                    yield view, piece, part

    def show(self, length: Fraction) -> str:
        """A length for a finding: in fractions where these are exact, else to four places, as a breach may be small."""
        text = show(length, self.job.units)
        return f'{float(length):.4f}"' if "~" in text else text


Rule = Callable[[Context], Iterable[Finding]]

# In the order of their codes once all rule modules are imported.
RULES: list[tuple[tuple[int, ...], Rule]] = []


def rule(*codes: int) -> Callable[[Rule], Rule]:
    """Enter a rule in the list with the codes it can give."""

    def enter(function: Rule) -> Rule:
        RULES.append((codes, function))
        return function

    return enter


def base_name(piece: str) -> str:
    """`top#1/3` -> `top#1`: the finished piece that a stave belongs to."""
    head, mark, tail = piece.rpartition("#")
    return head + mark + tail.partition("/")[0]
