"""Why a part has no place, in one line: the first thing in the way, or the smallest set of things that conflict."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.ground.counted import counted
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.lengths import show
from yieldopt.ground.names import part_of
from yieldopt.insight.explaining import mills_nothing
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.reasons.crowded import Crowd, crowd
from yieldopt.planning.reasons.nowhere import has_place, items_of, listed, obstacle, off_its_pin
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.boards import may_come_from
from yieldopt.sizes.sizing import blank_width_limit, rough_sizes, stave_width_needed, thickness_need
from yieldopt.wood.lumber import Job, Part

# Boards named one by one.
MOST_NAMED = 4
# How a reason begins that speaks of one plan alone: no proof that there is no place.
NO_ROOM, BESIDE = "no room found in the time", "beside what is placed"


class Reasons:
    """Why parts of one job have no place. `whole` is the job, `components` its components, each with the layouts known of
    it; parts that conflict are looked for until `deadline`, and boards that could give a part until `looking` is over."""

    def __init__(
        self,
        whole: Context,
        components: Sequence[tuple[Context, Iterable[Column]]],
        missing: Mapping[str, int],
        deadline: Deadline,
        looking: Deadline,
    ) -> None:
        self.whole, self.components, self.deadline, self.looking = whole, components, deadline, looking
        self.missing = missing
        # True once a part was left without the reason that more time might have found.
        self.cut_short = False
        self._asked = 0
        self._crowds: dict[int, Crowd | None] = {}

    def why(self, name: str) -> str:
        """The reason in words; names the limit and the figure that breaks it where there is one."""
        job = self.whole.job
        part = job.part_named[name]
        return (
            _no_such_wood(job, part)
            or _too_big(job, part)
            or self._pinned(part)
            or self._fits_nowhere(part)
            or self._crowded(part)
            or self._no_room(part)
        )

    def _no_room(self, part: Part) -> str:
        self.cut_short |= self.deadline.over
        return _no_room(part)

    def _fits_nowhere(self, part: Part) -> str | None:
        c, job = self.whole, self.whole.job
        items = items_of(c, part)
        stocks = [s for s in c.stocks if may_come_from(part, s.board)]
        if not items:
            return None
        for n, s in enumerate(stocks):
            # Most parts have a place on the first board looked at; that none has one takes a look at all.
            if (n and self.looking.over) or has_place(c, items, s):
                return None
        return _too_thick_or_long(job, part, stocks) or _kept_off(c, part, stocks, self.looking)

    def _pinned(self, part: Part) -> str | None:
        pins = (p for p in self.whole.job.pins if part_of(p.piece) == part.name)
        return next((why for p in pins if (why := off_its_pin(self.whole, p))), None)

    def _crowded(self, part: Part) -> str | None:
        """The parts that conflict: of all that is wanted, where the missing one is among them; else it and what is placed."""
        k = self.whole.job.parts.index(part)
        for n, (c, columns) in enumerate(self.components):
            mine = [r for r, row in enumerate(c.rows) if c.need[r] > 0 and k in row.parts]
            if not mine:
                continue
            if n not in self._crowds:
                lost = [r for r, row in enumerate(c.rows) if c.need[r] > 0 and self._short_of(c, row)]
                self._crowds[n] = crowd(c, columns, lost, self._share())
            found = self._crowds[n]
            if found is None or any(r in mine for r, _ in found.wanted):
                return None if found is None else too_many(c, found)
            placed = [need - (0 if r in mine else self._short_of(c, c.rows[r])) for r, need in enumerate(c.need)]
            beside = crowd(replace(c, need=placed), columns, mine, self._share())
            if beside is not None and any(r in mine for r, _ in beside.wanted):
                return f"{BESIDE}, {too_many(c, beside)}"
            return f"{NO_ROOM} beside the parts placed; already {too_many(c, found)}"
        return None

    def _share(self) -> Deadline:
        """A fair part of the time left: a part is looked at once, its component once more."""
        self._asked += 1
        return self.deadline.part(2 * self.deadline.left / max(2, len(self.missing) + len(self.components) - self._asked))

    def _short_of(self, c: Context, row: Row) -> float:
        """Units of a row that the plan is short of."""
        short = Fraction(max(self.missing.get(c.job.parts[i].name, 0) for i in row.parts))
        if row.kind == "stave":
            short *= stave_width_needed(c.job.parts[row.parts[0]], c.job.shop)
        return float(min(row.need, short))


def _no_such_wood(job: Job, part: Part) -> str | None:
    boards = [b for b in job.boards if b.name not in job.leave]
    if not any(b.species == part.species for b in boards):
        return f"no board of {part.species}"
    if part.sources and not any(b.name in part.sources for b in boards):
        return "the boards it may come from are left out of this job"
    if not any(may_come_from(part, b) for b in boards):
        wanted = [] if part.sawn == "any" else [f"{part.sawn}-sawn"]
        wanted += [f"from {', '.join(part.sources)}"] if part.sources else []
        return f"no board of {part.species} is {' and '.join(wanted)}"
    return None


def _too_big(job: Job, part: Part) -> str | None:
    layers = 2 if part.match_kind in ("book", "slip") else 1
    nothing = mills_nothing(job.shop, job.units, layers)
    if nothing is not None:
        return nothing
    widest = blank_width_limit(job.shop, layers)
    narrowest = min(w for _, w in rough_sizes(part, job.shop))
    if narrowest > widest and part.staves is None:
        return f"rough width {show(narrowest, job.units)} is more than the machines take, {show(widest, job.units)}"
    return None


def _too_thick_or_long(job: Job, part: Part, stocks: Sequence[Stock]) -> str | None:
    """What rules out all boards at once."""
    boards = [s.board for s in stocks]
    layers = (
        2
        if part.match_kind == "book"
        else sum(p.qty for p in job.parts if p.match == part.match)
        if part.match_kind == "slip"
        else 1
    )
    need = min((thickness_need((part.thickness,) * layers, b.stress == "tested", job.shop) for b in boards), default=None)
    if need is None:
        return "no wood that it may come from is left"
    thickest = max(b.thickness for b in boards)
    if need > thickest:
        layered = f" for {layers} layers" if layers > 1 else ""
        have = show(thickest, job.units)
        return f"needs {show(need, job.units)} of thickness{layered}; the thickest such board has {have}"
    length = min(a for a, _ in rough_sizes(part, job.shop))
    longest = max(b.length for b in boards)
    if length > longest:
        return f"rough length {show(length, job.units)}; the longest such board has {show(longest, job.units)}"
    return None


def _kept_off(c: Context, part: Part, stocks: Sequence[Stock], deadline: Deadline) -> str:
    """What keeps the part off each board, boards with the same trouble together, the nearest miss first; after the first of
    them as far as the time goes."""
    largest = sorted(stocks, key=lambda s: -(s.x1 - s.x0) * (s.y1 - s.y0))[: c.tuning.conflicts.most_looked_at]
    found = [o for n, s in enumerate(largest) if not (n and deadline.over) and (o := obstacle(c, part, s)) is not None]
    found.sort(key=lambda o: (-o.stage, len(o.defects)))
    # A board in pieces is named once for a trouble that they share.
    by_reason: dict[str, dict[str, None]] = {}
    for o in found:
        by_reason.setdefault(o.reason, {}).setdefault(f"{o.board} has {o.figure}" if o.figure else o.board)
    lines = [f"{reason}: {_some(list(boards))}" for reason, boards in by_reason.items()][:MOST_NAMED]
    rest = len(stocks) - len(largest) + max(0, len(by_reason) - len(lines))
    return "; ".join(lines) + (f"; and {rest} boards that are no better" if rest else "")


def _some(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= MOST_NAMED else f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"


def too_many(c: Context, found: Crowd) -> str:
    """A conflict in words."""
    wanted = [_units(c, r, units) for r, units in found.wanted]
    names = list(dict.fromkeys(c.stocks[i].name for i in found.stocks))
    if not names:
        return f"no board here gives {listed(wanted)}, whatever else it gives (proven)"
    if len(names) == 1:
        where = f"{names[0]}, the only board that takes them"
    else:
        where = _some(names) if len(names) <= MOST_NAMED else f"the {len(names)} boards that take them"
    return f"{listed(wanted)} can't all come from {where} (proven)"


def _units(c: Context, r: int, units: float) -> str:
    """So many of a row, in words."""
    row, job = c.rows[r], c.job
    names = list(dict.fromkeys(job.parts[i].name for i in row.parts))
    if row.kind in ("slip", "run"):
        return f"the whole {row.kind} {row.group}"
    if row.kind == "pair":
        return f"{counted(round(units), 'pair')} of {' with '.join(names)}"
    copies = units if row.kind == "piece" else units / float(stave_width_needed(job.parts[row.parts[0]], job.shop))
    one = f" on one board ({row.group})" if row.one_board else ""
    return f"{round(copies)} x {names[0]}{one}"


def _no_room(part: Part) -> str:
    whole = f" for the whole group {part.match}" if part.match else ""
    return f"{NO_ROOM}{whole} beside the parts placed; not proven that there is none"


def settled(why: str) -> bool:
    """Whether a part's reason holds for every layout of the kinds considered, not just beside the pieces that one plan placed."""
    return not why.startswith((NO_ROOM, BESIDE))
