"""What one more board would have to be like to place the parts that are missing: the smallest clear boards that do it.

Each size named has been laid out: the kinds of layout considered place everything on it. Boards an eighth of an inch
shorter do not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations_with_replacement
from math import ceil, prod

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.demand.rows import Row, build_rows
from yieldopt.planning.layouts.columns import column_of
from yieldopt.planning.layouts.layout import Layout
from yieldopt.planning.master.restrict import evaluate
from yieldopt.planning.pricing.context import Context, prepare
from yieldopt.planning.pricing.engine import OutOfTime
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.tuning import USUAL, Tuning
from yieldopt.sizes.sizing import end_trim, rough_length, rough_sizes, rough_width, thickness_need
from yieldopt.trade.quarters import thicknesses
from yieldopt.wood.lumber import Board, Job, Part, Shop
from yieldopt.workers.serial import Serial

STEP = Fraction(1, 8)
# Boards longer or wider than these are not sold by the piece: more than one board is needed then (common practice, no source).
LONGEST, WIDEST = Fraction(192), Fraction(12)


@dataclass(frozen=True, slots=True)
class OneMore:
    """One more board that would do for some of the missing parts. Lengths in inches."""

    species: str
    # Least standard class that gives the thickness, as in boards.csv; and the thickness needed once warp is off.
    quarters: str
    thickness: Fraction
    # "any", "flat", "rift" or "quarter".
    sawn: str
    # How many of each part it would give.
    parts: tuple[tuple[str, int], ...]
    # (length, width) of clear boards that do, the least area first; empty: one board can't do it, or, where not
    # `settled`, the time was up before one was tried.
    sizes: tuple[tuple[Fraction, Fraction], ...]
    # Length and width of the least board that each of the parts fits on; and the rough face of all of them, square inches.
    least: tuple[Fraction, Fraction]
    area: Fraction
    # The job names the boards of these parts: it would have to name this one too.
    named: bool
    settled: bool = True


def one_more(job: Job, missing: Mapping[str, int], deadline: Deadline, tuning: Tuning = USUAL) -> tuple[OneMore, ...]:
    """A board for each species, thickness and sawing among the missing parts, as far as the time goes."""
    wanted = [missing.get(p.name, 0) for p in job.parts]
    free = replace(job, pins=(), leave=frozenset())
    groups: dict[tuple[str, Fraction, str], list[Row]] = {}
    for row in build_rows(free, wanted):
        part = job.parts[row.parts[0]]
        layers = tuple(job.parts[i].thickness for i in row.parts) if row.kind in ("pair", "slip") else (part.thickness,)
        sawn = next((job.parts[i].sawn for i in row.parts if job.parts[i].sawn != "any"), "any")
        groups.setdefault((part.species, thickness_need(layers, False, job.shop), sawn), []).append(row)
    found = []
    for n, (key, rows) in enumerate(sorted(groups.items())):
        m = _board(free, wanted, *key, rows, deadline.part(deadline.left / (len(groups) - n)), tuning)
        found += [m] if m is not None else []
    return tuple(found)


def _board(
    job: Job,
    wanted: Sequence[int],
    species: str,
    thick: Fraction,
    sawn: str,
    rows: Sequence[Row],
    deadline: Deadline,
    tuning: Tuning,
) -> OneMore | None:
    members = sorted({i for row in rows for i in row.parts})
    parts = tuple(replace(job.parts[i], sources=()) for i in members)
    still = [wanted[i] for i in members]
    longest = max(min(rough_sizes(p, job.shop), key=lambda size: size[1])[0] for p in parts)
    least = (longest + 2 * end_trim(thick, job.shop), max(_strip(p, job.shop) for p in parts))
    area = sum((_face(row, job) for row in rows), Fraction(0))
    tried = _Tried(job, parts, still, species, thick, sawn, least[0], area, tuning)
    if not tried.possible:
        return None
    sizes: list[tuple[Fraction, Fraction]] = []
    settled = True
    for width in _widths(job, parts, still, tuning.trying.most_widths):
        try:
            length = tried.least_length(width, deadline)
        except OutOfTime:
            settled = bool(sizes)
            break
        if length is not None:
            sizes.append((length, width))
    useful = [s for s in sizes if not any(o != s and o[0] <= s[0] and o[1] <= s[1] for o in sizes)]
    useful = sorted(useful, key=lambda s: (s[0] * s[1], s))[: tuning.trying.most_sizes]
    named = any(job.parts[i].sources for i in members)
    counts = tuple((p.name, n) for p, n in zip(parts, still, strict=True))
    return OneMore(species, _class(thick), thick, sawn, counts, tuple(useful), least, area, named, settled)


def _face(row: Row, job: Job) -> Fraction:
    """Face of the rough wood that a row takes, square inches: layers of a pair or slip group over one another."""
    shop, parts = job.shop, [job.parts[i] for i in row.parts]
    if row.kind == "stave":
        return row.need * rough_length(parts[0], shop)
    each = [min(length * width for length, width in rough_sizes(p, shop)) for p in parts]
    if row.kind == "run":
        # Its inner ends carry less than `end`.
        each = [p.length * rough_width(p, shop) for p in parts]
    return row.need * (max(each) if row.kind in ("pair", "slip") else sum(each, Fraction(0)))


def _class(thick: Fraction) -> str:
    """The least class in quarters whose rough thickness is enough; none is sold under 4/4 by that name."""
    named = [t for t in thicknesses() if t.name.endswith("/4") and t.rough >= thick]
    return named[0].name if named else f"{ceil(thick * 4)}/4"


def _strip(part: Part, shop: Shop) -> Fraction:
    """Width of the strip that gives the part, or its widest stave."""
    width = rough_width(part, shop) if part.staves is None else part.staves[1] + 2 * shop.allowances.edge
    return max(width, shop.machines.min_rip_width)


def _widths(job: Job, parts: Sequence[Part], still: Sequence[int], many: int) -> list[Fraction]:
    """Widths at which strips lie side by side without waste, from the widest part up; so many at most."""
    shop = job.shop
    each = sorted({_strip(p, shop) for p in parts})
    most = min(3, sum(still) if all(p.staves is None for p in parts) else 3)
    sums = {sum(s) + (n - 1) * shop.kerf.rip for n in range(1, most + 1) for s in combinations_with_replacement(each, n)}
    widest = max(each)
    fit = sorted(w for w in sums if widest <= w <= max(WIDEST, widest))
    return fit if len(fit) <= many else [fit[k * (len(fit) - 1) // (many - 1)] for k in range(many)]


class _Tried:
    """Clear boards of one thickness tried by size."""

    def __init__(
        self,
        job: Job,
        parts: tuple[Part, ...],
        still: Sequence[int],
        species: str,
        thick: Fraction,
        sawn: str,
        length: Fraction,
        area: Fraction,
        tuning: Tuning,
    ) -> None:
        self.job, self.length, self.area, self.tuning = replace(job, parts=parts), length, area, tuning
        self.still, self.species, self.thick, self.sawn = list(still), species, thick, sawn
        c = self._prepared(WIDEST, LONGEST)
        # False where the machines don't take the parts, whatever the board.
        self.possible = all(any(r == k for i in c.items for k, _ in i.gives) for r in range(len(c.rows)))

    def least_length(self, width: Fraction, deadline: Deadline) -> Fraction | None:
        """Shortest board of this width that gives everything; None where none up to `LONGEST` does. Raises `OutOfTime`."""
        longest, trim = int(LONGEST / STEP), 2 * end_trim(self.thick, self.job.shop)
        # What the area alone asks for, and a little more until it is enough.
        low = min(longest, max(0, int((self.area / width + trim) / STEP) - 1))
        high = min(longest, max(low + 1, int(self.length / STEP)))
        while not self._gives(width, high * STEP, deadline):
            if high >= longest:
                return None
            low, high = high, min(longest, high * 5 // 4 + 1)
        while high - low > 1:
            middle = (low + high) // 2
            if self._gives(width, middle * STEP, deadline):
                high = middle
            else:
                low = middle
        return high * STEP

    def _prepared(self, width: Fraction, length: Fraction) -> Context:
        board = Board(
            "one more", self.species, "", self.thick, length, width, self.thick,
            sawn="" if self.sawn == "any" else self.sawn, cost=Fraction(1),  # type: ignore[arg-type]
        )  # fmt: skip
        return prepare(replace(self.job, boards=(board,)), Serial(), Shape(), Shape(), still=self.still, tuning=self.tuning)

    def _gives(self, width: Fraction, length: Fraction, deadline: Deadline) -> bool:
        if deadline.over:
            raise OutOfTime
        c = self._prepared(width, length)
        counted = tuple((r, int(n)) for r, n in enumerate(c.need) if c.rows[r].kind != "stave")
        tuned, work = self.tuning.trying, c.engine.full[0].work
        if prod(n + 1 for _, n in counted) > min(tuned.most_counted, tuned.most_work / max(1.0, work)):
            counted = ()
        if work > tuned.most_work:
            raise OutOfTime
        values = np.array([float(row.finished) for row in c.rows])
        return self._all_of(c, c.engine.full[0].price(c.engine.supply @ values, 1e-6, counted).layout)

    @staticmethod
    def _all_of(c: Context, layout: Layout) -> bool:
        return not evaluate([column_of(layout, c.stocks, c.items)], c.need, c.demand).missing
