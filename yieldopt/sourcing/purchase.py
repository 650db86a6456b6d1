"""How much to buy so that it suffices with a given chance, boards and hidden flaws being what they may: by quick layouts."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from yieldopt.deadline import Deadline
from yieldopt.lumber import CUBIC_INCHES_PER_BOARD_FOOT, Board, Job, Part
from yieldopt.plan import Plan
from yieldopt.sourcing.chance import enough, share_error, share_met
from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.grade_wood import wood_of
from yieldopt.sourcing.market import Market
from yieldopt.sourcing.quick import after, lay_out
from yieldopt.sourcing.rest import again, opened, spares, struck, whose
from yieldopt.sourcing.runner import Runner
from yieldopt.sourcing.wants import Want, line_makes, merged, short_parts, wants_of

# Added to the net by rule of thumb, as shares of the net: 40 % for FAS and the like, 70 % for common, of finished face area
# (1 / 0.70 and 1 / 0.59, the published yields); magazines and shops say 15 to 100 % and more.
THUMB_BEST, THUMB_COMMON = 0.40, 0.70
# Draws made whatever the clock says.
LEAST = 20
# Draws handed to a process at a time.
CHUNK = 4
# Draws for the purchase are fresh ones, since the lines were chosen on others.
FRESH = 1000


@dataclass(frozen=True)
class Needs:
    """What each draw needed, by price line, in board feet and boards as the dealer counts."""

    feet: Mapping[int, Sequence[float]]
    boards: Mapping[int, Sequence[int]]
    draws: int
    # Draws in which some want could not be met at all.
    hopeless: int = 0
    # The number that each draw was made by.
    numbers: Sequence[int] = ()


@dataclass(frozen=True)
class Purchase:
    """The least purchase found that suffices with the chance asked for."""

    feet: Mapping[int, float]
    boards: Mapping[int, int]
    chance: float
    error: float
    draws: int
    # (board feet, chance) of smaller and larger purchases, rising.
    curve: tuple[tuple[float, float], ...]

    @property
    def board_feet(self) -> float:
        return sum(self.feet.values())


@dataclass(frozen=True)
class Basis:
    """What a purchase has to add to: the rack's plan and what it leaves, and the parts the plan misses."""

    job: Job
    plan: Plan | None
    spare: tuple[Board, ...]
    missing: tuple[Part, ...]

    @staticmethod
    def of(job: Job, plan: Plan | None, missing: Mapping[str, int]) -> Basis:
        """With the rack's plan, or with no rack at all where there is none."""
        spare = spares(job.boards, plan, job.leave) if plan is not None else ()
        return Basis(job, plan, spare, short_parts(job, whole_groups(job, missing)))

    def parts(self, draw: int, seed: int, hidden: float) -> tuple[Part, ...]:
        """Parts wanted in one draw: those missing, and those that hidden flaws spoil in the rack's plan."""
        if self.plan is None:
            return self.missing
        return self.missing + again(self.job, struck(self.plan, hidden, random.Random(f"struck/{seed}/{draw}")))


@dataclass(frozen=True)
class Drawing:
    """Some draws, made ready for another process."""

    basis: Basis
    line_of: Mapping[str, int]
    market: Market
    draws: range


class LineNeed(NamedTuple):
    """What one draw took of a line."""

    # Infinite where its wants could not be met.
    feet: float = 0.0
    boards: int = 0
    # Boards looked at to find those.
    looked: int = 0


Need = dict[int, LineNeed]


def needs_of(d: Drawing) -> list[Need]:
    """Draw boards until each line's wants are met, for each draw."""
    return [_need(d, k) for k in d.draws]


def _need(d: Drawing, draw: int) -> Need:
    wants, lost = _left_after_spares(d.basis, d.line_of, d.market, draw)
    found: Need = dict.fromkeys(sorted(set(d.line_of.values())), LineNeed(math.inf if lost else 0.0))
    for k, got, met in _bought(wants, d.line_of, d.market, draw):
        feet = sum(float(x.bill.board_feet) for x in got) if met and not lost else math.inf
        found[k] = LineNeed(feet, len(got), got[-1].looked_at if got else 0)
    return found


def taken(basis: Basis, line_of: Mapping[str, int], market: Market, draw: int) -> dict[int, list[Drawn]]:
    """The boards of each line that a draw takes, in their order: with a tape in hand, each is one that some part still
    wanted can come from."""
    wants, _ = _left_after_spares(basis, line_of, market, draw)
    return {k: got for k, got, _ in _bought(wants, line_of, market, draw)}


def _bought(
    wants: Sequence[Want], line_of: Mapping[str, int], market: Market, draw: int
) -> Iterator[tuple[int, list[Drawn], bool]]:
    for k, got, met in market.bought_for(wants, line_of, FRESH + draw, opened=True):
        yield k, [x for x, _ in got], met


def draw_needs(
    basis: Basis, line_of: Mapping[str, int], market: Market, draws: int, deadline: Deadline, runner: Runner | None = None
) -> Needs:
    """Draw `draws` times or until the deadline (at least twenty times), side by side where there is a runner."""
    chunks = [Drawing(basis, line_of, market, range(k, min(k + CHUNK, draws))) for k in range(0, draws, CHUNK)]
    found: dict[int, Need] = {}
    if runner is not None:
        for first, some in runner.run(needs_of, ((c.draws[0], c) for c in chunks), deadline, 0.0):
            found |= {first + k: need for k, need in enumerate(some)}
    for c in chunks:
        late = deadline.stopped or (deadline.over and len(found) >= LEAST)
        if c.draws[0] not in found and not late:
            found |= {c.draws[0] + k: need for k, need in enumerate(needs_of(c))}
    order = [found[d] for d in sorted(found)]
    feet = {k: [need[k].feet for need in order] for k in sorted(set(line_of.values()))}
    boards = {k: [need[k].boards for need in order] for k in feet}
    hopeless = sum(any(n.feet == math.inf for n in need.values()) for need in order)
    return Needs(feet, boards, len(order), hopeless, sorted(found))


def _left_after_spares(basis: Basis, line_of: Mapping[str, int], market: Market, draw: int) -> tuple[list[Want], bool]:
    """What the rack's own leftovers don't give of a draw's wants, named as `line_of` names them; whether some of it is
    sold nowhere."""
    parts = basis.parts(draw, market.seed, market.hidden)
    wants = merged(replace(w, part=whose(w.part)) for w in wants_of(parts, basis.job.shop))
    left: list[float] = [w.qty * w.layers for w in wants]
    for board, hidden in opened(basis.spare, market.hidden, random.Random(f"spare/{market.seed}/{draw}")):
        if any(left):
            left = after(left, lay_out(wants, left, board, hidden, basis.job.shop).copies)
    short = [replace(w, qty=math.ceil(n / w.layers)) for w, n in zip(wants, left, strict=True) if n > 0]
    return [w for w in short if w.part in line_of], any(w.part not in line_of for w in short)


def whole_groups(job: Job, missing: Mapping[str, int]) -> dict[str, int]:
    """Where one piece of a book, slip or run is missing, the whole group is: the others no longer match."""
    groups = {p.match for p in job.parts if p.match and p.match_kind in ("book", "slip", "run") and missing.get(p.name)}
    return {p.name: p.qty if p.match in groups and p.match else missing.get(p.name, 0) for p in job.parts}


def smallest(needs: Needs, chance: float, bundles: Mapping[int, float] | None = None) -> Purchase | None:
    """The least purchase for which all lines suffice at once often enough: every line at the same quantile of its own need,
    then each lowered as far as the chance allows, the largest first.

    `bundles` are least quantities by line. None where even the largest need drawn does not suffice.
    """
    curve: list[tuple[float, float]] = []
    found: dict[int, float] | None = None
    for k in range(1, needs.draws + 1):
        stock = {line: _bundled(enough(some, k / needs.draws), line, bundles) for line, some in needs.feet.items()}
        if any(s == math.inf for s in stock.values()):
            break
        met = joint(needs, stock)
        curve.append((sum(stock.values()), met))
        if found is None and met >= chance - 1e-9:
            found = _lowered(needs, stock, chance, bundles)
    if found is None:
        return None
    met = joint(needs, found)
    boards = {
        line: max((n for n, f in zip(needs.boards[line], some, strict=True) if f <= found[line] + 1e-9), default=0)
        for line, some in needs.feet.items()
    }
    return Purchase(found, boards, met, share_error(met, needs.draws), needs.draws, tuple(dict(curve).items()))


def _bundled(feet: float, line: int, bundles: Mapping[int, float] | None) -> float:
    return max(feet, (bundles or {}).get(line, 0.0)) if feet > 0 else 0.0


def _lowered(needs: Needs, stock: Mapping[int, float], chance: float, bundles: Mapping[int, float] | None) -> dict[int, float]:
    stock = dict(stock)
    for line in sorted(stock, key=lambda k: (-stock[k], k)):
        for less in sorted({_bundled(f, line, bundles) for f in needs.feet[line] if f < stock[line]}, reverse=True):
            if joint(needs, {**stock, line: less}) < chance - 1e-9:
                break
            stock[line] = less
    return stock


def joint(needs: Needs, stock: Mapping[int, float]) -> float:
    """Share of draws in which every line's stock suffices."""
    worst = [max((some[d] - stock[line] for line, some in needs.feet.items()), default=0.0) for d in range(needs.draws)]
    return share_met(worst, 0.0) if worst else 1.0


def by_thumb(basis: Basis, line_of: Mapping[str, int], market: Market) -> dict[int, float]:
    """Board feet by rule of thumb: finished face area at the line's nominal thickness, over its layers, and the share more."""
    stock = dict.fromkeys(set(line_of.values()), 0.0)
    layers: dict[str, int] = {}
    for w in wants_of(basis.missing, basis.job.shop):
        if w.part in line_of:
            layers[w.part] = max(1, line_makes(w, market.lines[line_of[w.part]], basis.job.shop, market.stress))
    for p in basis.missing:
        if p.name in line_of:
            line = market.lines[line_of[p.name]]
            best = (wood_of(line.grade)[0].published or 1.0) >= 0.65
            net = float(p.length * p.width * p.qty * line.nominal) / CUBIC_INCHES_PER_BOARD_FOOT / layers.get(p.name, 1)
            stock[line_of[p.name]] += net * (1 + (THUMB_BEST if best else THUMB_COMMON))
    return stock
