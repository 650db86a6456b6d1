"""Shrinks the stock of one species line by line, by trials on draws that all stocks share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from yieldopt.sourcing.purchase.tried import Record, Stock

# A line is first lowered by this share of itself; where that is too much, by half of it, and so on down to about a board.
FIRST = 0.24
# The whole is raised by this share where the quick layouts' own stock does not suffice, and no further than so often.
MORE, MOST_RAISES = 0.12, 4
# A step smaller than this share of a board of the line is none.
BOARD = 0.6


@dataclass
class Shrinking:
    """Where the search for the least stock of one species stands."""

    record: Record
    # The stock to begin with, and by line: board feet of a board, money a board foot, least quantity sold.
    start: Stock
    board: Stock
    price: Stock
    bundle: Stock
    asked: float
    # The least stock found to suffice, and every stock found so on the way.
    found: Stock | None = None
    path: list[Stock] = field(default_factory=list)
    now: Stock = ()
    step: list[float] = field(default_factory=list)
    line: int = -1
    raises: int = 0
    done: bool = False

    def __post_init__(self) -> None:
        self.now = self.start
        self.step = [max(FIRST * s, b) for s, b in zip(self.start, self.board, strict=True)]

    def settle(self) -> None:
        """Take in what the trials told, and set out the next stock to try in `now`."""
        while not self.done:
            judged = self.record.judged(self.now, self.asked)
            if judged is None:
                return
            if judged:
                self.found = self.now
                self.path.append(self.now)
            elif self.found is None:
                self.raises += 1
                if self.raises > MOST_RAISES:
                    self.done = True
                    return
                self.now = tuple(s * (1 + MORE * self.raises) for s in self.start)
                continue
            else:
                self.step[self.line] /= 2
            self._next()

    def _next(self) -> None:
        """Lower the line that saves most money; done where no line can be lowered by a board any more."""
        assert self.found is not None
        options = []
        for k, have in enumerate(self.found):
            less = max(self.bundle[k], have - self.step[k], BOARD * self.board[k])
            if self.step[k] >= BOARD * self.board[k] and have - less >= BOARD * self.board[k]:
                options.append(((have - less) * self.price[k], k, less))
        if not options:
            self.done = True
            return
        _, self.line, less = max(options)
        self.now = tuple(less if k == self.line else s for k, s in enumerate(self.found))

    def draw(self, begun: Sequence[tuple[Stock, int]]) -> int | None:
        """The next draw to try `now` on: two hard ones for each easy one; None where all have been begun."""
        known = self.record.known(self.now)
        begun_now = {d for stock, d in begun if stock == self.now}
        easy, hard = ([d for d in some if d not in known and d not in begun_now] for some in self.record.sorts(self.now))
        if not (easy or hard):
            return None
        tried = len(begun_now) + len(known)
        return (hard or easy)[0] if tried % 3 or not easy else easy[0]

    def with_more(self, factor: float) -> Shrinking:
        """The same for a start so many times as large."""
        return replace(self, start=tuple(factor * s for s in self.start))
