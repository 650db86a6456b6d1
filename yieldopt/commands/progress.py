"""Where a search stands, on the terminal while it runs."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.planning.result import Progress


class Printer:
    """Shows where the search stands: one line that is written over on a terminal, a line a change elsewhere."""

    LINE = "{seconds:5.1f} s  {doing:<20} cost {cost:>9}  bound {bound:>9}  gap {gap:>6}  {left:4.0f} s left"

    def __init__(self) -> None:
        self.last: tuple[str, str] | None = None

    def __call__(self, p: Progress) -> None:
        cost = "-" if p.cost is None else f"{p.cost:.2f}"
        bound = "-" if p.bound is None else f"{p.bound:.2f}"
        gap = "-" if p.gap is None else f"{100 * p.gap:.1f} %"
        if not sys.stderr.isatty():
            if (cost, bound) == self.last:
                return
            self.last = (cost, bound)
        line = self.LINE.format(seconds=p.seconds, doing=p.doing, cost=cost, bound=bound, gap=gap, left=p.left)
        print(
            f"\r{line}\x1b[K" if sys.stderr.isatty() else line,
            end="" if sys.stderr.isatty() else "\n",
            file=sys.stderr,
            flush=True,
        )
