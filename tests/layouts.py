"""Plans for any job without the planner: a simple, honest layout by hand rules, with its list of cuts.

First fit at random: each item goes to the tail of a blank, to a new blank beside others, or to a new band of the first
board that can take it. A band is a section (crosscut first) or a strip (rip first). Not good plans, but plans that the
shop could cut; whatever finds no place is left out. The arithmetic is written again here, from the written rules and not
from the package, so that builder and check can only agree by both being right.
"""

from __future__ import annotations

import copy
from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction as F
from random import Random

from bundles import Item, Laid, items_of

from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Offcut, Plan, Totals, Unplaced

SOUND = {"knot", "sapwood", "streak", "stain"}
THROUGH = {"pith", "split", "wane"}


@dataclass
class Slot:
    """A blank in the making: items end to end along it."""

    x: F
    y: F
    length: F
    width: F
    thicknesses: tuple[F, ...]
    items: list[tuple[F, Item]]

    @property
    def tail(self) -> F:
        dx, item = self.items[-1]
        return dx + item.length


@dataclass
class Band:
    """A section (its x span is fixed) or a strip (its y span is fixed)."""

    low: F
    high: F
    slots: list[Slot] = field(default_factory=list)


@dataclass
class Bench:
    """One board being laid out."""

    job: Job
    board: Board
    rip_first: bool
    bands: list[Band] = field(default_factory=list)

    # --- what the wood allows -------------------------------------------------------------------------------------

    @property
    def trim(self) -> F:
        a = self.job.shop.allowances
        return a.board_end_thick if a.board_end_thick is not None and self.board.nominal >= 2 else a.board_end

    @property
    def low_end(self) -> F:
        return F(0) if self.board.datum_sound else self.trim

    @property
    def high_end(self) -> F:
        return self.board.length - (F(0) if self.board.far_sound else self.trim)

    def fits(self, slot: Slot) -> bool:
        """May this blank lie here with all that is in it?"""
        b, m, a, kerf = self.board, self.job.shop.machines, self.job.shop.allowances, self.job.shop.kerf
        near, far = b.channel(slot.x, slot.x + slot.length)
        if slot.x < self.low_end or slot.x + slot.length > self.high_end or slot.y < near or slot.y + slot.width > far:
            return False
        if slot.length < m.min_mill_length or not m.min_rip_width <= slot.width <= m.planer_width:
            return False
        if m.wide_flattening == "none" and slot.width > m.joint_width:
            return False
        n = len(slot.thicknesses)
        if (n > 1 and (b.stress == "no resaw" or slot.width > m.resaw_height)) or min(slot.thicknesses) < m.min_thickness:
            return False
        need = sum(slot.thicknesses) + 2 * a.face + (n - 1) * (kerf.resaw + 2 * a.sawn_face)
        if n > 1:
            need += n * (a.tested_spare if b.stress == "tested" else a.resaw_spare)
        widest = max(p.far - p.near for p in b.edges) if b.edges else b.width
        s, w = slot.length / b.length, slot.width / widest
        if need > b.thickness - b.bow * s * s - b.cup * w * w - b.twist * s * w / 2:
            return False
        thrown = [(d, a.split_along if d.kind == "split" else F(0)) for d in b.defects if d.kind in ("loose knot", "split")]
        if any(meet(slot.x, slot.y, slot.length, slot.width, d.x - m, d.y, d.length + 2 * m, d.width) for d, m in thrown):
            return False
        return all(self.clear(slot, dx, laid) for dx, item in slot.items for laid in item.laid)

    def marks(self, slot: Slot, dx: F, laid: Laid) -> set[str] | None:
        """Faces on which a sound defect shows; None where an unsound one is held."""
        shown = set()
        for d in self.board.defects:
            face = "both" if d.kind in THROUGH else d.face
            here = face == "both" or (face == "A" and laid.layer == 1) or (face == "B" and laid.layer == len(slot.thicknesses))
            along, across = margins(self.job, d.kind)
            if d.kind in laid.part.allow or not here:
                continue
            if meet(slot.x + dx + laid.dx, slot.y + laid.dy, laid.length, laid.width,
                     d.x - along, d.y - across, d.length + 2 * along, d.width + 2 * across):
                if d.kind not in SOUND:
                    return None
                shown |= {"A", "B"} if face == "both" else {face}
        return shown

    def clear(self, slot: Slot, dx: F, laid: Laid) -> bool:
        shown = self.marks(slot, dx, laid)
        return shown is not None and 2 - len(shown) >= laid.part.faces

    def takes(self, item: Item) -> bool:
        for laid in item.laid:
            p = laid.part
            if p.species != self.board.species or p.sawn not in ("any", self.board.sawn):
                return False
            if p.sources and self.board.name not in p.sources:
                return False
        return True

    def straight(self, band: Band) -> bool:
        """Is there width enough once crook is taken from what is ripped side by side?"""
        crook = F(0) if self.board.edges else self.board.crook
        if self.rip_first:
            slots, share = [s for other in self.bands for s in other.slots], F(1)
        else:
            slots, share = band.slots, self.region_length(band) / self.board.length
        used = max(s.y + s.width for s in slots) - min(s.y for s in slots)
        # A kept offcut beside them is weighed when it is made; leave it out here.
        return used + crook * share * share <= self.board.width or bool(self.board.edges)

    def region_length(self, band: Band) -> F:
        """A section's length when it is ripped: to the natural end where no cut is made."""
        return band.high - band.low

    # --- placing --------------------------------------------------------------------------------------------------

    def place(self, item: Item, rng: Random) -> bool:
        ways = [self.on_a_tail, self.beside, self.in_a_new_band]
        if rng.random() < 0.3:
            rng.shuffle(ways)
        return self.takes(item) and any(way(item, rng) for way in ways)

    def on_a_tail(self, item: Item, rng: Random) -> bool:
        gap = self.job.shop.kerf.crosscut
        for band in self.bands:
            for slot in band.slots:
                if slot.thicknesses != item.thicknesses or slot.width < item.width or item.rows > 1 or slot.items[-1][1].rows > 1:
                    continue
                dx = slot.tail + gap
                if dx + item.length > slot.length:
                    continue
                slot.items.append((dx, item))
                if self.fits(slot):
                    return True
                slot.items.pop()
        return False

    def _new_slot(self, band: Band, x: F, y: F, length: F, width: F, item: Item) -> bool:
        slot = Slot(x, y, length, width, item.thicknesses, [(F(0), item)])
        band.slots.append(slot)
        if self.fits(slot) and self.straight(band):
            return True
        band.slots.pop()
        return False

    def beside(self, item: Item, rng: Random) -> bool:
        kerf = self.job.shop.kerf
        for band in self.bands:
            if self.rip_first:
                x = band.slots[-1].x + band.slots[-1].length + kerf.crosscut
                length, width = max(item.length, self.job.shop.machines.min_mill_length), band.high - band.low
                if item.width <= width and any(self._new_slot(band, at, band.low, length, width, item) for at in self.starts(x)):
                    return True
            elif item.length <= band.high - band.low:
                y = band.slots[-1].y + band.slots[-1].width + kerf.rip
                width = max(item.width, self.job.shop.machines.min_rip_width)
                for at in self.levels(y, band.low, band.high):
                    if self._new_slot(band, band.low, at, band.high - band.low, width, item):
                        return True
        return False

    def starts(self, x: F) -> list[F]:
        """Where along the board to try: here, and past each defect."""
        past = [d.x + d.length + margins(self.job, d.kind)[0] for d in self.board.defects]
        return [x, *sorted(p for p in past if p > x + self.job.shop.kerf.crosscut)]

    def levels(self, y: F, x0: F, x1: F) -> list[F]:
        """Where across to try, as `starts`; not nearer to what is below than a kerf and a sliver."""
        near = max(y, self.board.channel(x0, x1)[0])
        past = [d.y + d.width + margins(self.job, d.kind)[1] for d in self.board.defects]
        return [near, *sorted(p for p in past if p > near + self.job.shop.kerf.rip)]

    def in_a_new_band(self, item: Item, rng: Random) -> bool:
        m, kerf = self.job.shop.machines, self.job.shop.kerf
        length, width = max(item.length, m.min_mill_length), max(item.width, m.min_rip_width)
        if not self.rip_first and rng.random() < 0.5:
            length += rng.choice([F(2), F(6), F(12)])
        if self.rip_first:
            bottom = self.bands[-1].high + kerf.rip if self.bands else min(p.near for p in self.board.outline)
            spots = [(x, y) for y in self.levels(bottom, self.low_end, self.high_end)[:3] for x in self.starts(self.low_end)[:4]]
        else:
            left = self.bands[-1].high + kerf.crosscut if self.bands else self.low_end
            spots = [(x, y) for x in self.starts(left) for y in self.levels(self.board.channel(x, x)[0], x, x + length)[:3]
                     if x + length <= self.high_end]
        for x, y in spots:
            band = Band(y, y + width) if self.rip_first else Band(x, x + length)
            self.bands.append(band)
            if self._new_slot(band, x, y, length, width, item):
                return True
            self.bands.pop()
        return False


def meet(ax: F, ay: F, al: F, aw: F, bx: F, by: F, bl: F, bw: F) -> bool:
    return ax < bx + bl and bx < ax + al and ay < by + bw and by < ay + aw


def margins(job: Job, kind: str) -> tuple[F, F]:
    """What pieces keep clear of beyond a defect's rectangle, along and across."""
    a = job.shop.allowances
    if "knot" in kind:
        return a.defect_along, a.defect_across
    return {"split": (a.split_along, F(0)), "check": (a.check_along, F(0)), "pith": (F(0), a.pith_across)}.get(kind, (F(0), F(0)))


# --- the plan -----------------------------------------------------------------------------------------------------


def layout(job: Job, seed: int = 0) -> Plan:
    """A plan for the job: complete where first fit can make it so. The same for the same seed."""
    rng = Random(seed)
    benches = [Bench(job, b, rng.random() < 0.4) for b in job.boards if b.name not in job.leave]
    rng.shuffle(benches)
    bundles = items_of(job, rng)
    rng.shuffle(bundles)
    for bundle in filter(None, bundles):
        part = bundle[0].laid[0].part
        every = range(len(benches))
        for allowed in [[i] for i in every] if part.match_kind in ("board", "run", "slip") else [list(every)]:
            # The bundle may be given up halfway: try it on copies. What is frozen is not copied.
            frozen = {id(thing): thing for thing in (job, *job.boards, *job.parts)}
            trial, items = copy.deepcopy(benches, dict(frozen)), copy.deepcopy(bundle, dict(frozen))
            if all(any(trial[i].place(item, rng) for i in allowed) for item in items):
                benches = trial
                break
    from sawyer import saw_up

    boards = tuple(saw_up(bench, rng) for bench in benches if bench.bands)
    return with_totals(job, boards)


def with_totals(job: Job, boards: tuple[BoardPlan, ...]) -> Plan:
    """The plan of these boards: what is missing, and the money."""
    # Part and number; staves of one piece share it.
    numbered = {(p.part, p.piece.rpartition("#")[2].partition("/")[0]) for b in boards for p in b.pieces}
    placed = Counter(part for part, _ in numbered)
    missing = {p.name: p.qty - placed[p.name] for p in job.parts}
    unplaced = tuple(Unplaced(name, qty, "no room by first fit") for name, qty in missing.items() if qty > 0)
    net = float(sum((b.cost - b.credit for b in boards), F(0)))
    volume = sum((placed[p.name] * p.length * p.width * p.thickness for p in job.parts), F(0))
    used = sum((_volume_used(job, b) for b in boards), F(0))
    bound = round(net - abs(net) / 10, 6) if net else None
    gap = (net - bound) / net if bound is not None else None
    totals = Totals(net, bound, gap, float(volume / used) if used else 0.0, len(boards), 0.1)
    return Plan(job.name, job.units, boards, unplaced, totals)


def board_area(board: Board) -> F:
    """Shoelace over the outline."""
    ring = [(p.x, p.near) for p in board.outline] + [(p.x, p.far) for p in reversed(board.outline)]
    return abs(sum((x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)), F(0))) / 2


def milled_area(board: Board, blanks: tuple[Blank, ...], offcut: Offcut) -> F:
    """Area of a kept offcut, at its layer's share of the nominal thickness inside a blank."""
    for b in blanks:
        along = b.x <= offcut.x and offcut.x + offcut.length <= b.x + b.length
        if along and b.y <= offcut.y and offcut.y + offcut.width <= b.y + b.width:
            return offcut.length * offcut.width * b.thicknesses[offcut.layer - 1] / board.nominal
    return offcut.length * offcut.width


def _volume_used(job: Job, plan: BoardPlan) -> F:
    board = job.board_named[plan.board]
    kept = sum((milled_area(board, plan.blanks, o) for o in plan.offcuts if o.kept), F(0))
    return (board_area(board) - kept) * board.nominal


